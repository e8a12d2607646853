"""Fitting: chances from counts, counts from chances, until nothing moves.

What is fitted is the likelihood of all reeds times, for every chance w that a ruleset states as w₀,
(w^w₀ · (1 − w)^(1 − w₀))^T: its author's word counts as much as T reeds on which it could be seen. The
greatest value is reached at (T·w₀ + times true) / (T + times tested), which for a chance that is seen
plainly is the mean of its beta distribution (rule of succession); no step can lower what is fitted.
How common a cause is also governs how readily it comes back in a night, so both are weighed together.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import inf
from typing import Final

import numpy as np

from engine.network import RELAPSE, Network
from engine.sweep import Floats
from engine.tuning.chances import LEAST, Chances
from engine.tuning.counting import ReedCounts

MOST_PASSES: Final = 40
SETTLED: Final = 0.02
"""Gain of the logarithm, over all reeds together, below which fitting has settled."""
_HALVINGS: Final = 50

Counter = Callable[[Network, Sequence[int]], Sequence[ReedCounts]]
"""Gives the counts of the reeds with these numbers, in their order, in as many processes as it likes."""


@dataclass(frozen=True, slots=True)
class Fit:
    """Chances that fit, and what was counted under them."""

    values: Floats
    reeds: tuple[int, ...]
    counts: tuple[ReedCounts, ...]
    """One for each reed, counted under `values`."""
    history: tuple[float, ...]
    """What was fitted, as a logarithm, pass by pass; it never falls."""
    settled: bool
    """False where the passes ran out first."""

    @property
    def log_evidence(self) -> float:
        """The logarithm of the chance of all answers that can be true."""
        return sum(one.log_evidence for one in self.counts if one.log_evidence > -inf)


def fitted(
    chances: Chances,
    trust: float,
    count: Counter,
    reeds: Sequence[int],
    *,
    passes: int = MOST_PASSES,
    told: Callable[[int], None] = lambda _: None,
) -> Fit:
    """Fit all chances to the reeds with these numbers. `told` hears of each pass that begins."""
    values = chances.stated
    history: list[float] = []
    settled = False
    while True:
        told(len(history))
        # The very network at first, so that who has counted under it already need not do it again.
        counts = tuple(count(chances.network_with(values) if history else chances.network, reeds))
        told_in_all = sum(one.log_evidence for one in counts if one.log_evidence > -inf)
        history.append(told_in_all + _author(chances.stated, values, trust))
        settled = len(history) > 1 and history[-1] - history[-2] < SETTLED
        if settled or len(history) > passes:
            return Fit(values, tuple(reeds), counts, tuple(history), settled)
        values = best_values(chances, trust, counts)


def best_values(chances: Chances, trust: float, counts: Sequence[ReedCounts]) -> Floats:
    """Give the chances that suit the counts best, each beside its author's word."""
    seen, on = summed(chances, counts)
    size, causes = len(chances.slots), len(chances.network.causes)
    values = (trust * chances.stated + on[:size]) / (trust + seen[:size])
    for cause in range(causes):
        if seen[size + cause] > 0.0:
            true, false = trust * chances.stated[cause] + on[cause], seen[cause] - on[cause]
            false += trust * (1.0 - chances.stated[cause])
            values[cause] = _commonness(
                true, false, on[size + cause], seen[size + cause] - on[size + cause], chances.ceiling[cause]
            )
    return np.clip(values, np.minimum(LEAST, chances.stated), chances.ceiling)


def summed(chances: Chances, counts: Sequence[ReedCounts]) -> tuple[Floats, Floats]:
    """Add up how often each chance was tested, and how often it came true; nights come last."""
    size = len(chances.slots) + len(chances.network.causes)
    seen, on = np.zeros(size), np.zeros(size)
    for one in counts:
        np.add.at(seen, one.at, one.seen)
        np.add.at(on, one.at, one.on)
    return seen, on


def _author(stated: Floats, values: Floats, trust: float) -> float:
    """Give the logarithm of what the author's words weigh."""
    free = (values > 0.0) & (values < 1.0)
    word, value = stated[free], values[free]
    return trust * float(np.sum(word * np.log(value) + (1.0 - word) * np.log1p(-value)))


def _commonness(true: float, false: float, came: float, stayed: float, most: float) -> float:
    """Give the p that is best for first rounds, `true` or `false`, and nights when it came or stayed away.

    In a night it comes with chance r = 0.2 p / (1 − p), so log r rises by 1/p + 1/(1 − p), and
    1 − r = (1 − 1.2 p) / (1 − p). The slope falls as p grows, so halving finds its zero.
    """

    def slope(p: float) -> float:
        rising = true / p + came * (1.0 / p + 1.0 / (1.0 - p))
        return (
            rising
            - false / (1.0 - p)
            + stayed * (1.0 / (1.0 - p) - (1.0 + RELAPSE) / (1.0 - (1.0 + RELAPSE) * p))
        )

    low, high = 0.0, most
    if slope(high) >= 0.0:
        return high
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        if slope(middle) > 0.0:
            low = middle
        else:
            high = middle
    return (low + high) / 2.0


def slopes(chances: Chances, values: Floats, counts: Sequence[ReedCounts]) -> Floats:
    """Give for each reed how its log evidence rises with the log-odds of each chance: (reeds, chances).

    (The score is the expected score of what is hidden: R. A. Fisher, 1925, from memory.)
    """
    size = len(chances.slots)
    found = np.zeros((len(counts), size))
    night = RELAPSE * values / np.maximum(1.0 - values, 1.0 - chances.ceiling)
    for row, one in enumerate(counts):
        own = one.at < size
        np.add.at(found[row], one.at[own], one.on[own] - one.seen[own] * values[one.at[own]])
        causes = one.at[~own] - size
        late = (one.on[~own] - one.seen[~own] * night[causes]) / (1.0 - night[causes])
        np.add.at(found[row], causes, late)
    return found
