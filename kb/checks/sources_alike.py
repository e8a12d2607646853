"""Finds sources that are listed twice under two names."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.ids import SourceId
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("sources-alike")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each source with the same title, author, year and place as an earlier one."""
    first: dict[tuple[str, ...], SourceId] = {}
    for source in ruleset.sources:
        said = (source.title, source.author, source.year, source.place_in, source.url)
        same = tuple(" ".join(part.casefold().split()) for part in said)
        earlier = first.setdefault(same, source.id)
        if earlier != source.id and source.title:
            message = f"{source.id!r} is the same source as {earlier!r}"
            hint = "keep one of them; two names look like two witnesses"
            yield Found(None, Problem(source.place.of("title"), NAME, message, hint, SEVERITY))
