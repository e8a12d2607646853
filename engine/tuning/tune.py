"""The whole of tuning, as a story: what cannot be true is put aside, the rest is fitted, judged and tried."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import inf
from typing import Final

from engine.network import Network
from engine.tuning.chances import Chances
from engine.tuning.counting import ReedCounts, Told
from engine.tuning.evidence import once_each
from engine.tuning.fitting import Counter, Fit, fitted
from engine.tuning.held_out import HeldOut, held_out
from engine.tuning.proposals import FEWEST, Proposal, proposed

TRUST: Final = 20.0
"""Reeds that an author's word counts as, if nobody says otherwise."""


@dataclass(frozen=True, slots=True)
class Trusting:
    """How far the author is trusted before reeds are."""

    trust: float = TRUST
    fewest: float = FEWEST
    """Reeds' worth of evidence below which nothing moves."""


USUAL: Final = Trusting()


@dataclass(frozen=True, slots=True)
class Tuned:
    """What the reeds teach."""

    fit: Fit
    proposals: tuple[Proposal, ...]
    """One for each chance, those that stay included."""
    held_out: HeldOut | None
    impossible: tuple[int, ...]
    """Reeds whose answers cannot all be true by this ruleset."""
    repeated: int
    """Reeds that are another one entered again."""

    @property
    def accepted(self) -> tuple[Proposal, ...]:
        """What is proposed; nothing where reeds that were not learnt from would become less likely."""
        if self.is_overdone:
            return ()
        return tuple(one for one in self.proposals if one.refusal is None)

    @property
    def is_overdone(self) -> bool:
        """Whether the proposals do worse than the ruleset on reeds that they were not made from."""
        return self.held_out is not None and self.held_out.gain < 0.0


def tuned(
    chances: Chances,
    reeds: Sequence[Told],
    count: Counter,
    deal: Callable[[list[int]], None],
    trusting: Trusting = USUAL,
    *,
    told: Callable[[str, int], None] = lambda _, __: None,
) -> Tuned:
    """Tune the chances to the reeds.

    `count` counts on reeds by number; `deal` shuffles a list, and is the only chance in this; `told` hears
    of each stage ("fit", "try") and how far it is.
    """
    told("fit", 0)
    first = count(chances.network, range(len(reeds)))

    def remembering(network: Network, numbers: Sequence[int]) -> Sequence[ReedCounts]:
        return (
            [first[number] for number in numbers] if network is chances.network else count(network, numbers)
        )

    impossible = tuple(number for number, one in enumerate(first) if one.log_evidence == -inf)
    apart = once_each(reeds, first)
    kept = [number for number in apart if first[number].log_evidence > -inf]
    makers = [one.maker for one in reeds]
    fit = fitted(chances, trusting.trust, remembering, kept, told=lambda number: told("fit", number))
    found = proposed(chances, fit, trusting.trust, [makers[number] for number in kept], trusting.fewest)
    dealt = list(kept)
    deal(dealt)
    tried = held_out(
        chances,
        trusting.trust,
        remembering,
        makers,
        dealt,
        fewest=trusting.fewest,
        before=[one.log_evidence for one in first],
        told=lambda number: told("try", number),
    )
    return Tuned(fit, found, tried, impossible, len(reeds) - len(apart))
