"""Readings of one quantity as they came, each on a line: a dot on a scale, the target between two brackets.

The figure stands before the dot, so that the drawing adds to it and never replaces it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from tui.draw.cells import cells, fitted, padded

DOT: Final = "●"
OPENS, CLOSES = "[", "]"
LEAST: Final = 12
"""Cells of a scale below which the figures stand alone."""
_MARGIN: Final = 0.1
"""Part of the range that is left free at each end."""


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading: when, and how much."""

    when: str
    figure: str
    """The value with its unit, as the maker likes it."""
    value: float


def draw_readings(
    readings: Sequence[Reading], target: tuple[float, float] | None, width: int
) -> tuple[str, ...]:
    """Give a line for each reading, the oldest first."""
    if not readings:
        return ()
    whens = max(cells(one.when) for one in readings)
    figures = max(cells(one.figure) for one in readings)
    room = width - whens - figures - 4
    lines = []
    for one in readings:
        front = f"{padded(one.when, whens)}  {' ' * (figures - cells(one.figure))}{one.figure}"
        lines.append(f"{front}  {_scale(one.value, readings, target, room)}" if room >= LEAST else front)
    return tuple(fitted(line.rstrip(), width) for line in lines)


def _scale(value: float, readings: Sequence[Reading], target: tuple[float, float] | None, room: int) -> str:
    ends = [one.value for one in readings] + list(target or ())
    low, high = min(ends), max(ends)
    spread = (high - low) or abs(high) or 1.0
    low, high = low - _MARGIN * spread, high + _MARGIN * spread

    def at(number: float) -> int:
        return round((number - low) / (high - low) * (room - 1))

    signs = ["─"] * room
    dot = at(value)
    if target is not None:
        # A dot on a bracket's own cell goes to the side of it on which it truly lies.
        opens, closes = at(target[0]), at(target[1])
        closes = max(closes, opens + 2)
        signs[opens], signs[min(closes, room - 1)] = OPENS, CLOSES
        if target[0] <= value <= target[1]:
            dot = min(max(dot, opens + 1), closes - 1)
        elif value < target[0]:
            dot = min(dot, opens - 1)
        else:
            dot = max(dot, closes + 1)
    signs[max(0, min(dot, room - 1))] = DOT
    return "".join(signs)
