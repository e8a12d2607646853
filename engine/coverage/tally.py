"""What came of it: each part with the trial that notices its loss, and the shares of each sort.

roll = roll_of(ruleset)
judged = [judge(ruleset, roll, part) for part in parts_of(ruleset)]
covered = tally(ruleset, roll, judged)
"""

from collections.abc import Iterable
from dataclasses import dataclass

from engine.case import case_of_rounds
from engine.coverage.branches import branches_of, walked
from engine.coverage.noticing import Roll, noticed_by
from engine.coverage.parts import Part, Sort
from kb.model import Ruleset


@dataclass(frozen=True, slots=True)
class Judged:
    """A part, and the title of a trial that notices its loss; None when none does."""

    part: Part
    by: str | None


@dataclass(frozen=True, slots=True)
class Share:
    """How many parts of one sort are exercised."""

    sort: Sort
    tested: int
    of: int


@dataclass(frozen=True, slots=True)
class Coverage:
    """What the trials of a ruleset exercise."""

    judged: tuple[Judged, ...]
    """In the order of the file."""
    missing: int
    """Parts not looked at, because it was interrupted."""
    trials: int
    """Trials that could notice anything."""
    failing: tuple[str, ...]
    unjudged: tuple[str, ...]
    """Titles of trials that fail as it is, and of those that expect nothing: they test nothing."""

    @property
    def untested(self) -> tuple[Part, ...]:
        """The parts whose loss no trial notices."""
        return tuple(one.part for one in self.judged if one.by is None)

    @property
    def shares(self) -> tuple[Share, ...]:
        """The shares, sort by sort, of the parts that were looked at; a sort without parts is left out."""
        found = []
        for sort in Sort:
            every = [one for one in self.judged if one.part.sort is sort]
            if every:
                found.append(Share(sort, sum(one.by is not None for one in every), len(every)))
        return tuple(found)


def judge(ruleset: Ruleset, roll: Roll, part: Part) -> Judged:
    """Find a trial that notices the loss of a part. The slow part of the work, one part at a time."""
    trial = noticed_by(ruleset, roll.watchers, part)
    return Judged(part, None if trial is None else trial.title)


def tally(ruleset: Ruleset, roll: Roll, judged: Iterable[Judged], missing: int = 0) -> Coverage:
    """Put together what was judged, and the ways of the charts, which take no time."""
    every = [*judged, *_branches(ruleset, roll)]
    ordered = sorted(every, key=lambda one: (one.part.span, one.part.sort, one.part.of, one.part.to))
    return Coverage(
        judged=tuple(ordered),
        missing=missing,
        trials=len(roll.watchers),
        failing=tuple(trial.title for trial in roll.failing),
        unjudged=tuple(trial.title for trial in roll.unjudged),
    )


def _branches(ruleset: Ruleset, roll: Roll) -> list[Judged]:
    gone: dict[tuple[str, str], str] = {}
    for watcher in roll.watchers:
        case = case_of_rounds(ruleset, watcher.trial.rounds)
        for way in walked(ruleset, [case]):
            gone.setdefault(way, watcher.trial.title)
    return [Judged(part, gone.get((part.of, part.to))) for part in branches_of(ruleset)]
