"""Finds points of a thickness that do not follow their lane."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("points-out-of-order")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each point that lies before the one above it in the same lane."""
    for profile in ruleset.thickness:
        reached: dict[str, float] = {}
        for number, point in enumerate(profile.points):
            before = reached.get(point.lane, point.at)
            if point.at < before:
                message = f"the point at {point.at:g} of {point.lane!r} stands after the one at {before:g}"
                hint = f"list the points of a lane from the {profile.datum} on; is the number right?"
                span = profile.place.of("points", number, "at")
                yield Found(profile, Problem(span, NAME, message, hint, SEVERITY))
            reached[point.lane] = max(point.at, before)
