"""Finds remedies that mend nothing."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("remedy-without-cure")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each remedy with empty `cures`; a rest may be there for its new sitting alone."""
    for remedy in ruleset.remedies:
        if not remedy.cures:
            message = f"{remedy.id!r} mends nothing, so it will never be proposed"
            hint = "write in cures which causes it mends, each with its chance"
            yield Found(remedy, Problem(remedy.place.key, NAME, message, hint, SEVERITY))
