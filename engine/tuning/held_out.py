"""Held-out evidence: the reeds are dealt into piles; each pile is predicted by what the others teach.

Each pile gets the very change that would be proposed without it, so the answer is about the proposals
and not about a fit that nobody will see. The fits to the other piles stop early: the first few passes do
most of the work, and they too have never seen the pile.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import sqrt
from typing import Final

from engine.tuning.chances import Chances
from engine.tuning.fitting import Counter, fitted
from engine.tuning.proposals import proposed, with_proposals

PILES: Final = 3
PASSES: Final = 3
FEWEST: Final = 2 * PILES
"""Reeds below which there is nothing to deal."""


@dataclass(frozen=True, slots=True)
class HeldOut:
    """How likely reeds were that were not learnt from, as natural logarithms, a reed on average."""

    reeds: int
    before: float
    after: float
    give_or_take: float
    """Standard error of the difference."""

    @property
    def gain(self) -> float:
        """How much likelier a reed became."""
        return self.after - self.before


def held_out(  # noqa: PLR0913 - what a fit takes, and how the reeds are dealt
    chances: Chances,
    trust: float,
    count: Counter,
    makers: Sequence[int],
    dealt: Sequence[int],
    *,
    fewest: float,
    before: Sequence[float],
    told: Callable[[int], None] = lambda _: None,
) -> HeldOut | None:
    """Predict every pile by the others; None when there are too few reeds.

    `dealt` holds the numbers of all reeds in a random order, `makers` and `before` (how likely the ruleset
    as it stands finds each) go by that number. `told` hears of each pile that begins.
    """
    if len(dealt) < FEWEST:
        return None
    gains: list[float] = []
    for pile in range(PILES):
        told(pile)
        away = dealt[pile::PILES]
        others = sorted(set(dealt) - set(away))
        fit = fitted(chances, trust, count, others, passes=PASSES)
        found = proposed(chances, fit, trust, [makers[number] for number in others], fewest)
        after = count(chances.network_with(with_proposals(chances, found)), away)
        gains += [new.log_evidence - before[number] for number, new in zip(away, after, strict=True)]
    middle = sum(gains) / len(gains)
    spread = sum((gain - middle) ** 2 for gain in gains) / (len(gains) - 1)
    stood = sum(before[number] for number in dealt) / len(dealt)
    return HeldOut(len(gains), stood, stood + middle, sqrt(spread / len(gains)))
