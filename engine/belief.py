"""Belief: the exact chance of every cause, given a case.

The model is the two-level noisy-OR with mechanisms that persist: a link that is on for this reed
stays on, in every round, until its cause is mended. (Persistence across actions: D. Heckerman and
R. Shachter, Decision-theoretic foundations for causal reasoning, 1995, from memory; J. Breese and
D. Heckerman, Decision-theoretic troubleshooting: a framework for repair and experiment, UAI 1996.)
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import exp, inf
from typing import TYPE_CHECKING

from engine.case import Case
from engine.findings import evidence_of
from engine.network import Network, network_of
from engine.refusal import TooWideError
from kb.ids import CauseId, FindingId
from kb.model import Ruleset

# The tables need numpy, which costs more than all else at start-up: it is loaded when a belief is
# first computed, so that a first question can be painted before.
if TYPE_CHECKING:
    from engine.folding import Folded


@dataclass(frozen=True, slots=True)
class Belief:
    """The posterior of a case."""

    exact: bool
    """False where the oldest rounds had to be folded into this reed's own chances."""
    evidence: float
    """Sum of weights before normalising; 0 when the answers cannot all be true."""
    log_evidence: float
    """Its natural logarithm, good where the sum itself is too small for a float; -inf when impossible."""
    unlisted: float
    """Chance that a finding whose latest answer is yes shows for a reason that the ruleset does not list."""
    causes: tuple[tuple[CauseId, float], ...]
    """Present round, by falling chance, ties by id. Empty when the answers cannot all be true."""
    rounds: tuple[tuple[float, ...], ...] = ()
    """For each round, oldest first, the chance of each cause, in the order of `sorted` ids."""
    folded: int = 0
    """How many of the oldest rounds were folded."""
    off: float | None = None
    """Of a belief that is not exact: the most that any chance moves when one more round is folded.
    None where it is exact, and where no further round is left to measure it by."""

    @property
    def is_possible(self) -> bool:
        """Whether all the answers can be true together."""
        return self.log_evidence > -inf

    def chance(self, cause: CauseId) -> float:
        """Give the chance of one cause now. Raises KeyError for one that the ruleset lacks."""
        for known, chance in self.causes:
            if known == cause:
                return chance
        raise KeyError(cause)


def believe(ruleset: Ruleset, case: Case, *, widest: int | None = None) -> Belief:
    """Compute the belief; `widest` is how many sets one table may hold (see `engine.sweep.WIDEST`).

    Raises TooWideError when even the present round hangs together too widely.
    """
    from engine.folding import fold_until_narrow  # noqa: PLC0415 - loads numpy
    from engine.sweep import WIDEST  # noqa: PLC0415 - loads numpy

    most = WIDEST if widest is None else widest
    alone = _of_one_round(ruleset, case, most) if len(case.rounds) == 1 else None
    return alone or belief_of(fold_until_narrow(ruleset, case, most))


def _of_one_round(ruleset: Ruleset, case: Case, widest: int) -> Belief | None:
    """Give the same by plainer sums, unless they are too wide: tables may hold fewer sets than those do."""
    from engine.oneround import one_round  # noqa: PLC0415 - loads numpy

    network = network_of(ruleset)
    try:
        found = one_round(network, evidence_of(ruleset, network, case), widest)
    except TooWideError:
        return None
    return _belief(network, found.log_evidence, found.unlisted, (tuple(found.presence.tolist()),))


def belief_of(folded: "Folded") -> Belief:
    """Compute the belief of a case that is laid out, and perhaps folded, already."""
    from engine.posterior import posterior_of  # noqa: PLC0415 - loads numpy

    ground = folded.ground
    swept = posterior_of(ground, folded.plan)
    rounds = folded.earlier + tuple(map(tuple, swept.presence.tolist()))
    belief = _belief(ground.network, swept.log_evidence + folded.log_evidence, swept.unlisted, rounds)
    if not folded.rounds:
        return belief
    off = _off(folded, rounds[-1]) if belief.is_possible else None
    return replace(belief, exact=False, folded=folded.rounds, off=off)


def _belief(
    network: Network, log_evidence: float, unlisted: float, rounds: tuple[tuple[float, ...], ...]
) -> Belief:
    if log_evidence == -inf:
        return Belief(exact=True, evidence=0.0, log_evidence=-inf, unlisted=0.0, causes=())
    causes = zip(network.causes, rounds[-1], strict=True)
    return Belief(
        exact=True,
        evidence=exp(log_evidence) if log_evidence > -700 else 0.0,
        log_evidence=log_evidence,
        unlisted=unlisted,
        causes=tuple(sorted(causes, key=_by_chance)),
        rounds=rounds,
    )


def _off(folded: "Folded", chances: Sequence[float]) -> float | None:
    """Measure what folding one more round does to the chances."""
    from engine.folding import folded_further  # noqa: PLC0415 - loads numpy
    from engine.posterior import posterior_of  # noqa: PLC0415 - loads numpy

    further = folded_further(folded)
    if further is None:
        return None
    other = posterior_of(further.ground, further.plan).presence[-1].tolist()
    return max((abs(one - two) for one, two in zip(chances, other, strict=True)), default=0.0)


def link_posteriors(ruleset: Ruleset, case: Case) -> tuple[tuple[CauseId, FindingId, float], ...]:
    """Give for every link the chance that it is on for this reed. Raises TooWideError like `believe`."""
    from engine.folding import fold_until_narrow  # noqa: PLC0415 - loads numpy
    from engine.posterior import link_chances, posterior_of  # noqa: PLC0415 - loads numpy

    folded = fold_until_narrow(ruleset, case)
    network, posterior = folded.ground.network, posterior_of(folded.ground, folded.plan)
    return tuple(
        (network.causes[cause], network.findings[finding], chance)
        for cause in range(len(network.causes))
        for finding, chance in link_chances(folded.ground, posterior, cause)
    )


def _by_chance(pair: tuple[CauseId, float]) -> tuple[float, CauseId]:
    """Sort by falling chance, equal ones by id: equal in twelve digits, for sums differ in their last."""
    cause, chance = pair
    return -float(f"{chance:.12g}"), cause
