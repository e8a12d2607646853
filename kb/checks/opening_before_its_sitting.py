"""Finds questions of the opening that do not count yet when they are first asked."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.ids import FindingId
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("opening-before-its-sitting")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each finding of `opening` that counts from a later sitting."""
    written = ruleset.place.value.get("opening")
    for item in written.items() if written is not None else ():
        finding = ruleset.finding.get(FindingId(str(item.data)))
        if finding is not None and finding.counts_from_sitting > 1:
            message = (
                f"{finding.id!r} is always asked first, "
                f"and counts only from sitting {finding.counts_from_sitting}"
            )
            hint = "take it out of opening, or let it count from the first sitting"
            yield Found(finding, Problem(item.span, NAME, message, hint, SEVERITY))
