"""Finds a `slightly` that speaks against what it should speak for."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("slightly-below-half")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at a `slightly` of one half or less."""
    if ruleset.slightly <= 0.5:
        what = "says nothing" if ruleset.slightly == 0.5 else "speaks against what it is said of"
        message = f"with {ruleset.slightly:g} the answer slightly {what}"
        hint = "write a number above 0.5; 0.75 is usual"
        yield Found(None, Problem(ruleset.place.of("slightly"), NAME, message, hint, SEVERITY))
