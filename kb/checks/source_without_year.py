"""Finds published sources that do not say when they appeared."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("source-without-year")
SEVERITY: Final = Severity.WARNING


_PUBLISHED: Final = frozenset(
    {"published", "book", "article", "paper", "journal", "magazine", "periodical", "chapter", "thesis"}
    | {"dissertation", "standard", "proceedings", "report"}
)


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at the kind of each source that is printed or put on the net, and has no year."""
    for source in ruleset.sources:
        kind = source.kind.casefold().split()
        if not source.year and not _PUBLISHED.isdisjoint(kind):
            message = f"{source.id!r} is said to be published, and not when"
            hint = "write year: as it stands on the title page, or year: not known"
            yield Found(None, Problem(source.place.of("kind"), NAME, message, hint, SEVERITY))
