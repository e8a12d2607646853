"""Readings of a blade's thickness beside their targets: the value that every drawing of them starts from.

Readings come as plain tuples, from whoever keeps them. A reading is judged against the target point of
its lane that lies nearest, and only where that is near enough to say anything.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import Enum
from typing import Final

from kb.model import Profile, ThicknessPoint

NEAR: Final = 1.5
"""Millimetres that a reading may lie from the point whose target it is judged by."""


@dataclass(frozen=True, slots=True)
class ThicknessReading:
    """One reading."""

    blade: str
    """Which blade, in the maker's words; empty: not said."""
    lane: str
    """As the profile names it."""
    at: float
    """Distance from the profile's datum."""
    value: float


class Against(Enum):
    """Where a reading lies against its target, with the sign and the words for it."""

    THIN = ("▼", "too thin")
    WITHIN = ("●", "on target")
    THICK = ("▲", "too thick")
    UNKNOWN = ("·", "no target here")

    @property
    def sign(self) -> str:
        """Its sign."""
        return self.value[0]

    @property
    def words(self) -> str:
        """Its words."""
        return self.value[1]


@dataclass(frozen=True, slots=True)
class Judged:
    """A reading with what it is judged by."""

    reading: ThicknessReading
    target: ThicknessPoint | None
    against: Against


def judge(profile: Profile, readings: Iterable[ThicknessReading]) -> tuple[Judged, ...]:
    """Judge each reading against the nearest target of its lane."""
    return tuple(_judged(profile, reading) for reading in readings)


def _judged(profile: Profile, reading: ThicknessReading) -> Judged:
    near = [
        point for point in profile.points if point.lane == reading.lane and abs(point.at - reading.at) <= NEAR
    ]
    if not near:
        return Judged(reading, None, Against.UNKNOWN)
    point = min(near, key=lambda one: abs(one.at - reading.at))
    tolerance = (point.tolerance or 0.0) + 1e-9
    if reading.value > point.target + tolerance:
        return Judged(reading, point, Against.THICK)
    return Judged(
        reading, point, Against.THIN if reading.value < point.target - tolerance else Against.WITHIN
    )


def blades_of(readings: Sequence[ThicknessReading]) -> tuple[str, ...]:
    """Give the blades that were measured, in order; one without a name where none was."""
    return tuple(dict.fromkeys(reading.blade for reading in readings)) or ("",)


def thickness_lines(profile: Profile, readings: Sequence[ThicknessReading]) -> tuple[str, ...]:
    """Give the readings as lines of text: for the terminal, and for whoever hears a picture read out."""
    lines = [f"{profile.title}, in {profile.unit}, distances from the {profile.datum}"]
    for one in judge(profile, readings):
        reading, target = one.reading, one.target
        blade = f"{reading.blade}, " if reading.blade else ""
        aim = "" if target is None else f", target {target.target:g}"
        aim += f" ± {target.tolerance:g}" if target is not None and target.tolerance else ""
        where = f"{blade}{reading.lane} at {reading.at:g}"
        lines.append(f"{one.against.sign} {where}: {reading.value:g}{aim}, {one.against.words}")
    return tuple(lines)
