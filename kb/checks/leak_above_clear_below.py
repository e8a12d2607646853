"""Finds symptoms that leave their priority unclear until they are asked, each time."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("leak-above-clear-below")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each leak that alone reaches `clear_below`; once at `clear_below` for the usual leak."""
    limit = ruleset.clear_below
    unsaid = 0
    for finding in ruleset.findings:
        if finding.priority is None or finding.leak < limit:
            continue
        if finding.place.value.get("leak") is None:
            unsaid += 1
            continue
        message = f"{finding.id!r} shows for no listed reason as often as {finding.leak:g}"
        hint = f"its priority is clear below {limit:g}: it must then be asked in every round"
        yield Found(finding, Problem(finding.place.of("leak"), NAME, message, hint, SEVERITY))
    if unsaid:
        message = f"{limit:g} is not above the usual leak, so that each of {unsaid} symptoms must be asked"
        hint = "write 0.15, or leave clear_below out"
        yield Found(None, Problem(ruleset.place.of("clear_below"), NAME, message, hint, SEVERITY))
