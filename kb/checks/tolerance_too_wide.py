"""Finds tolerances that take in half of the thickness itself."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("tolerance-too-wide")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each tolerance of half the target or more."""
    for profile in ruleset.thickness:
        for number, point in enumerate(profile.points):
            if point.tolerance is not None and 0 < point.target <= 2 * point.tolerance:
                given = f"a target of {point.target:g} with a tolerance of {point.tolerance:g}"
                message = f"{given} takes in everything"
                hint = "has a zero got lost? 0.03 and not 0.3"
                span = profile.place.of("points", number, "tolerance")
                yield Found(profile, Problem(span, NAME, message, hint, SEVERITY))
