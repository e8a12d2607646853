"""Finds targets of a thickness that are many times those beside them."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Profile, Ruleset, ThicknessPoint
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("decimal-slip")
SEVERITY: Final = Severity.WARNING


_TIMES: Final = 5.0


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each target five times the middle one of its lane, or a fifth of it."""
    for profile in ruleset.thickness:
        lanes: dict[str, list[float]] = {}
        for point in profile.points:
            lanes.setdefault(point.lane, []).append(point.target)
        middle = {lane: sorted(targets)[len(targets) // 2] for lane, targets in lanes.items()}
        for number, point in enumerate(profile.points):
            usual = middle[point.lane]
            if len(lanes[point.lane]) >= 3 and not usual / _TIMES < point.target < usual * _TIMES:
                yield _slip(profile, number, point, usual)


def _slip(profile: Profile, number: int, point: ThicknessPoint, usual: float) -> Found:
    message = f"{point.target:g} stands among targets of about {usual:g} in the lane {point.lane!r}"
    span = profile.place.of("points", number, "target")
    return Found(profile, Problem(span, NAME, message, "is the decimal point at its place?", SEVERITY))
