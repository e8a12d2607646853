"""What has been measured on a reed's blades so far, seen together: for a picture, and for where cane went.

Readings belong together that were taken between two operations: they describe one state of the reed.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from engine.thickness import (
    ALIKE,
    AgainstTarget,
    Difference,
    Lines,
    against,
    left_right,
    lines_of,
    taken,
    upper_lower,
)
from kb.log.entry import Entry, RemedyDone, Rested, SittingOpened, ThicknessMeasured
from kb.model import Profile


@dataclass(frozen=True, slots=True)
class Blades:
    """A reed's blades as last measured, in millimetres from the profile's datum."""

    profile: Profile
    lines: Lines
    """The last reading of every place, whenever it was taken."""
    targets: tuple[AgainstTarget, ...]
    """The profile's points, as far as readings speak for them."""
    taken: tuple[Difference, ...]
    """What plainly changed between the last readings and those before."""
    left_right: tuple[Difference, ...]
    """Plain differences between the sides, of more than makers usually allow."""
    upper_lower: tuple[Difference, ...]
    left_aside: int
    """Readings whose distances cannot be laid out from the profile's datum."""


def blades(profile: Profile, standing: Iterable[Entry]) -> Blades | None:
    """Fold a reed's standing entries; None when no thickness was measured."""
    groups: list[list[ThicknessMeasured]] = [[]]
    for entry in standing:
        if isinstance(entry.what, ThicknessMeasured):
            groups[-1].append(entry.what)
        elif isinstance(entry.what, RemedyDone | Rested | SittingOpened) and groups[-1]:
            groups.append([])
    groups = [group for group in groups if group]
    if not groups:
        return None
    every = [one for group in groups for one in group]
    earlier = [one for group in groups[:-1] for one in group]
    lines = lines_of(every, profile.datum)
    laid_out = [one for one in every if lines_of((one,), profile.datum)]
    return Blades(
        profile,
        lines,
        against(profile, every),
        _plain(taken(lines_of(earlier, profile.datum), lines_of(groups[-1], profile.datum)), 0.0),
        _plain(left_right(lines), ALIKE),
        _plain(upper_lower(lines), ALIKE),
        sum(len(one.spots) for one in every) - sum(len(one.spots) for one in laid_out),
    )


def _plain(differences: Iterable[Difference], least: float) -> tuple[Difference, ...]:
    return tuple(one for one in differences if one.is_plain and abs(one.by) > least)
