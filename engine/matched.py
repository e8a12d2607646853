"""Two ways of working at an equal share of reeds ready.

A way that gives up early spends few minutes and has few reeds ready, so minutes alone say nothing.
Here both work under a limit of minutes for each reed, chosen for each so that the same share is
ready within it, and truly so; what was spent until then, on all reeds, is compared. The intervals
are found by drawing reeds anew, in pairs, with the limits chosen anew each time (bootstrap
percentiles: B. Efron, Bootstrap methods: another look at the jackknife, Annals of Statistics 7,
1979, from memory).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from engine.interval import Mean
from engine.playing import Played
from kb.model import Ending

DRAWS: Final = 1000


@dataclass(frozen=True, slots=True)
class Matched:
    """One way of working beside another, at an equal share of reeds ready."""

    ready: float
    """The share: the lesser of the two."""
    minutes: Mean
    """Of the one, for each reed."""
    other_minutes: Mean
    cuts: Mean
    other_cuts: Mean
    ratio: Mean
    """Minutes of the one to those of the other."""
    more_cuts: Mean
    """Cuts of the one less those of the other."""


def matched(one: Sequence[Played], other: Sequence[Played], seed: int) -> Matched | None:
    """Compare two ways of working on the same reeds; None when one of them had none ready."""
    mine, theirs = _Times.of(one), _Times.of(other)
    every = np.arange(len(one))
    base = _at_equal_share(mine, theirs, every)
    if base is None:
        return None
    source = np.random.default_rng(seed)
    drawn = [
        found
        for _ in range(DRAWS)
        if (found := _at_equal_share(mine, theirs, source.integers(0, len(one), len(one)))) is not None
    ]
    low, high = np.percentile(np.array(drawn), [2.5, 97.5], axis=0)
    means = [Mean(float(b), float(lo), float(hi)) for b, lo, hi in zip(base, low, high, strict=True)]
    return Matched(float(base[0]), *means[1:])


@dataclass(frozen=True, slots=True)
class _Times:
    """Played reeds as arrays."""

    minutes: NDArray[np.float64]
    is_ready: NDArray[np.bool_]
    cut_at: NDArray[np.float64]
    """(reeds, most cuts): the minutes that had been spent when each cut was done; inf for none."""

    @classmethod
    def of(cls, every: Sequence[Played]) -> "_Times":
        most = max((len(one.cut_at) for one in every), default=0)
        cut_at = np.full((len(every), most), np.inf)
        for row, one in enumerate(every):
            cut_at[row, : len(one.cut_at)] = one.cut_at
        return cls(
            np.array([one.minutes for one in every]),
            np.array([one.ending is Ending.READY and one.is_sound for one in every]),
            cut_at,
        )

    def limit(self, reeds: NDArray[np.int64], ready: int) -> float:
        """Give the minutes within which `ready` of `reeds` are ready."""
        times = np.sort(self.minutes[reeds][self.is_ready[reeds]])
        return float(times[ready - 1])

    def spent(self, reeds: NDArray[np.int64], limit: float) -> tuple[float, float]:
        """Give mean minutes and mean cuts within the limit."""
        minutes = np.minimum(self.minutes[reeds], limit).mean()
        cuts = (self.cut_at[reeds] <= limit).sum(axis=1).mean()
        return float(minutes), float(cuts)


def _at_equal_share(mine: _Times, theirs: _Times, reeds: NDArray[np.int64]) -> tuple[float, ...] | None:
    ready = int(min(mine.is_ready[reeds].sum(), theirs.is_ready[reeds].sum()))
    if not ready:
        return None
    minutes, cuts = mine.spent(reeds, mine.limit(reeds, ready))
    other_minutes, other_cuts = theirs.spent(reeds, theirs.limit(reeds, ready))
    return (
        ready / len(reeds),
        minutes,
        other_minutes,
        cuts,
        other_cuts,
        minutes / other_minutes if other_minutes else 1.0,
        cuts - other_cuts,
    )
