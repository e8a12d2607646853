"""Finds points of a thickness that are given twice."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("point-twice")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each second target for the same place of the same lane."""
    for profile in ruleset.thickness:
        seen: set[tuple[str, float]] = set()
        for number, point in enumerate(profile.points):
            if (point.lane, point.at) in seen:
                message = f"{profile.id!r} has a second point at {point.at:g} of the lane {point.lane!r}"
                span = profile.place.of("points", number)
                yield Found(profile, Problem(span, NAME, message, "take one of them out", SEVERITY))
            seen.add((point.lane, point.at))
