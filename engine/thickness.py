"""Thickness of the blades, place by place: against a profile, against earlier, quarter against quarter.

A place is a lane on a side of a blade at a distance; what was measured there last counts. Readings are
laid along lines (one lane of one quarter), and a profile's points are read off a line by going straight
between two neighbours. Lengths are in millimetres throughout.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from math import hypot
from typing import Final

from engine.edges import chance_beyond
from engine.spread import mean, uncertainty
from kb.log.entry import ThicknessMeasured
from kb.model import Profile, ThicknessRead
from kb.units import convert

GAUGE: Final = 0.01
"""Standard deviation of one reading of a dial gauge, where the maker says none. From memory: such gauges
are divided in hundredths of a millimetre."""
NEAR: Final = 1.0
"""A reading so near to a point speaks for it alone."""
APART: Final = 6.0
"""Two readings further apart say nothing of what lies between them."""
SAME: Final = 0.25
"""Distances that differ by no more are the same place, measured again."""
ALIKE: Final = 0.02
"""Makers try to keep quarters alike within 0.02 to 0.03 mm (from memory)."""
_SURE: Final = 1e-9
"""No reading is so sure that it could contradict an answer for good."""


@dataclass(frozen=True, slots=True, order=True)
class Line:
    """One lane of one quarter. Empty blade or side: not said."""

    blade: str
    side: str
    lane: str


@dataclass(frozen=True, slots=True)
class Reading:
    """A thickness and how sure it is."""

    at: float
    value: float
    sigma: float


@dataclass(frozen=True, slots=True)
class Difference:
    """Two readings set against each other: by how much the first is the greater, and how sure that is."""

    first: Line
    second: Line
    at: float
    by: float
    sigma: float

    @property
    def is_plain(self) -> bool:
        """Whether it is more than the readings' own uncertainty (twice the standard one)."""
        return abs(self.by) > 2.0 * self.sigma


@dataclass(frozen=True, slots=True)
class AgainstTarget:
    """What was measured where the profile has a point."""

    line: Line
    at: float
    """From the profile's datum."""
    reading: Reading
    target: float
    tolerance: float


Lines = Mapping[Line, tuple[Reading, ...]]
"""Readings along each line, by distance."""


def lines_of(measured: Iterable[ThicknessMeasured], datum: str) -> Lines:
    """Lay readings along their lines, by the distance from `datum`; a later one replaces an earlier.

    Readings whose distances are counted from elsewhere, with nothing said of how far that is from the
    tip, cannot be laid out and are left aside.
    """
    lines: dict[Line, list[Reading]] = {}
    for one in measured:
        for spot in one.spots:
            at = _from(datum, one, spot.at)
            if at is None:
                continue
            sigma = uncertainty(spot.values, one.precision or GAUGE) or GAUGE
            there = lines.setdefault(Line(spot.blade, spot.side, spot.lane), [])
            there[:] = [known for known in there if abs(known.at - at) > SAME]
            there.append(Reading(at, mean(spot.values), sigma))
    return {line: tuple(sorted(lines[line], key=lambda reading: reading.at)) for line in sorted(lines)}


def against(profile: Profile, measured: Iterable[ThicknessMeasured]) -> tuple[AgainstTarget, ...]:
    """Read a profile's points off what was measured; points that nothing speaks for are left out."""
    lines = lines_of(measured, profile.datum)
    found = []
    for point in profile.points:
        target, tolerance = (_in_mm(profile, part) for part in (point.target, point.tolerance or 0.0))
        for line, readings in lines.items():
            reading = _reading_at(readings, point.at) if line.lane == point.lane else None
            if reading is not None:
                found.append(AgainstTarget(line, point.at, reading, target, tolerance))
    return tuple(found)


def chance_shown(
    profile: Profile, read: ThicknessRead, measured: Iterable[ThicknessMeasured]
) -> float | None:
    """Give the chance that a sign shows that is read off these thicknesses; None when they say nothing of it.

    It shows when the blade is past target and tolerance at one place of the stretch at least. The chance
    is that of the likeliest place alone: a gauge errs the same way all along a blade, so many places near
    the edge are no more evidence than one.
    """
    low, high = read.between
    chances = [
        chance_beyond(
            read.edge,
            one.target - one.tolerance,
            one.target + one.tolerance,
            one.reading.value,
            one.reading.sigma,
        )
        for one in against(profile, measured)
        if one.line.lane == read.lane and low <= one.at <= high
    ]
    return min(max(*chances, _SURE), 1.0 - _SURE) if chances else None


def taken(before: Lines, now: Lines) -> tuple[Difference, ...]:
    """Say where cane was taken: what is thinner (or, by a slip of the gauge, thicker) than it was."""
    return tuple(
        Difference(line, line, reading.at, earlier.value - reading.value, hypot(earlier.sigma, reading.sigma))
        for line, readings in now.items()
        for reading in readings
        if (earlier := _same_place(before.get(line, ()), reading.at)) is not None
    )


def left_right(lines: Lines) -> tuple[Difference, ...]:
    """Set left against right, on each blade."""
    return _paired(lines, lambda line: replace(line, side="right") if line.side == "left" else None)


def upper_lower(lines: Lines) -> tuple[Difference, ...]:
    """Set the upper blade against the lower, on each side."""
    return _paired(lines, lambda line: replace(line, blade="lower") if line.blade == "upper" else None)


def _paired(lines: Lines, other_of: Callable[[Line], Line | None]) -> tuple[Difference, ...]:
    found = []
    for line, readings in lines.items():
        other = other_of(line)
        for reading in readings if other is not None and other in lines else ():
            twin = _same_place(lines[other], reading.at) if other is not None else None
            if other is not None and twin is not None:
                sigma = hypot(reading.sigma, twin.sigma)
                found.append(Difference(line, other, reading.at, reading.value - twin.value, sigma))
    return tuple(found)


def _same_place(readings: Iterable[Reading], at: float) -> Reading | None:
    return next((one for one in readings if abs(one.at - at) <= SAME), None)


def _reading_at(readings: tuple[Reading, ...], at: float) -> Reading | None:
    """Read one point off a line: between two neighbours, or the one that is near enough."""
    below = [one for one in readings if one.at <= at]
    above = [one for one in readings if one.at >= at]
    if below and above and above[0].at - below[-1].at <= APART:
        first, last = below[-1], above[0]
        share = 0.0 if first.at == last.at else (at - first.at) / (last.at - first.at)
        value = (1.0 - share) * first.value + share * last.value
        sigma = first.sigma if first is last else hypot((1.0 - share) * first.sigma, share * last.sigma)
        return Reading(at, value, sigma)
    nearest = min(readings, key=lambda one: abs(one.at - at), default=None)
    return nearest if nearest is not None and abs(nearest.at - at) <= NEAR else None


def _from(datum: str, one: ThicknessMeasured, at: float) -> float | None:
    """Give a distance from another datum: the tip's grows away from it, every other towards the tip."""
    if one.datum == datum:
        return at
    if datum == "tip" and one.from_tip is not None:
        return one.from_tip - at
    return None


def _in_mm(profile: Profile, value: float) -> float:
    in_mm = convert(value, profile.unit, "mm")
    return value if in_mm is None else in_mm
