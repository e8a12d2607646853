"""Finds zones whose polygon encloses no area, or crosses itself."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Ruleset, Zone
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("malformed-zone")
SEVERITY: Final = Severity.ERROR

Point = tuple[float, float]


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each polygon that would show the maker the wrong place, or none."""
    for zone in ruleset.zones:
        fault = _fault(zone)
        if fault:
            hint = "list at least three corners in the order in which they are walked round"
            yield Found(zone, Problem(zone.place.of("polygon"), NAME, fault, hint, SEVERITY))


def _fault(zone: Zone) -> str:
    """Say what is wrong, or nothing."""
    corners = zone.polygon
    if zone.place.value.get("polygon") is None:
        return ""
    if zone.wire is not None:
        return f"{zone.id!r} is both a wire and a polygon"
    if len(set(corners)) < 3:
        return f"the polygon of {zone.id!r} has fewer than three corners"
    if _crosses_itself(corners):
        return f"the polygon of {zone.id!r} crosses itself"
    if _area(corners) == 0:
        return f"the polygon of {zone.id!r} encloses nothing"
    return ""


def _area(corners: tuple[Point, ...]) -> float:
    """Twice the area, by the shoelace formula; its sign says which way round."""
    return sum(
        x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in zip(corners, (*corners[1:], corners[0]), strict=True)
    )


def _side(a: Point, b: Point, c: Point) -> float:
    """Say on which side of the line from a to b the point c lies."""
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _crosses_itself(corners: tuple[Point, ...]) -> bool:
    """Whether two edges that share no corner cut through each other."""
    edges = list(zip(corners, (*corners[1:], corners[0]), strict=True))
    return any(
        _side(a, b, c) * _side(a, b, d) < 0 and _side(c, d, a) * _side(c, d, b) < 0
        for at, (a, b) in enumerate(edges)
        for c, d in edges[at + 2 :]
    )
