"""Folding: when a case hangs together too widely, its oldest rounds become this reed's own chances.

What the oldest round taught is kept as a product of marginals: each cause's chance to be there
when the next round began, each link's chance to be on, each background's to be there. What it
taught about combinations is lost, so a folded belief says that it is not exact.
(X. Boyen and D. Koller, Tractable inference for complex stochastic processes, UAI 1998, from memory.)
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from engine.case import Case
from engine.findings import Said, evidence_of
from engine.ground import Ground, ground_of
from engine.lifelines import background_chance, background_weight, change_between
from engine.network import Network, network_of
from engine.posterior import link_chances, posterior_of
from engine.refusal import TooWideError
from engine.sweep import WIDEST, CloseStep, Floats, Plan, forward
from kb.model import Ruleset


@dataclass(frozen=True, slots=True)
class Folded:
    """A case ready to be swept."""

    ground: Ground
    plan: Plan
    case: Case
    """The rounds that are left."""
    rounds: int = 0
    """How many of the oldest rounds were folded."""
    log_evidence: float = 0.0
    """Of the folded rounds."""
    earlier: tuple[tuple[float, ...], ...] = ()
    """For each folded round the chance of each cause, as known when it was folded."""


def fold_until_narrow(ruleset: Ruleset, case: Case, widest: int = WIDEST) -> Folded:
    """Lay out `case`, folding as few of its oldest rounds as the budget asks for (mostly none).

    `widest` is the budget: how many sets a table may hold. Raises TooWideError when the present round
    alone is too wide.
    """
    network = network_of(ruleset)
    left = _Left(network, evidence_of(ruleset, network, case), case)
    while True:
        try:
            return left.laid_out(widest)
        except TooWideError:
            if len(left.case.rounds) == 1:
                raise
        left = left.without_first()


def folded_further(folded: Folded) -> Folded | None:
    """Fold one more round than was needed, or give None when only the present one is left.

    By how much the chances differ then is what one round's folding does to this case: the measured
    error of a belief that is not exact.
    """
    if len(folded.case.rounds) == 1:
        return None
    ground = folded.ground
    left = _Left(ground.network, ground.said, folded.case, folded.rounds, folded.log_evidence, folded.earlier)
    return left.without_first().laid_out(WIDEST)


@dataclass(frozen=True, slots=True)
class _Left:
    """What is left of a case, some of its oldest rounds folded away; the fields are those of `Folded`."""

    network: Network
    said: tuple[tuple[Said, ...], ...]
    case: Case
    rounds: int = 0
    log_evidence: float = 0.0
    earlier: tuple[tuple[float, ...], ...] = ()

    def laid_out(self, widest: int) -> Folded:
        """Lay it out for sweeping. Raises TooWideError."""
        ground = ground_of(self.network, self.said, self.case)
        plan = ground.plan(ground.busy, widest=widest)
        return Folded(ground, plan, self.case, self.rounds, self.log_evidence, self.earlier)

    def without_first(self) -> "_Left":
        """Fold the oldest round that is left."""
        network, log_evidence, presence = _fold_first(self.network, self.said, self.case)
        return _Left(
            network,
            tuple(
                tuple(replace(one, round=one.round - 1) for one in told if one.round > 0)
                for told in self.said
            ),
            Case(self.case.rounds[1:]),
            self.rounds + 1,
            self.log_evidence + log_evidence,
            (*self.earlier, presence),
        )


def foreseen(folded: Folded, kept: Sequence[int], width: int) -> Ground:
    """Give a ground for looking ahead at the findings `kept`, six at most: narrow enough for many futures.

    That is the case's own where its tables hold no more than `width` sets and list all that a cause
    can explain; else one of the present round alone (see `narrowed`).
    """
    ground = folded.ground
    if folded.plan.width <= width and not any(table.threads for table in ground.tables):
        return ground
    return narrowed(folded, frozenset(kept))


def narrowed(folded: Folded, kept: frozenset[int]) -> Ground:
    """Give a ground of the present round alone in which only findings in `kept` are said.

    All else that was said is folded into this reed's own chances. For looking ahead in a case that
    is too wide for weighing many futures; its belief stays exact.
    """
    ground, now = folded.ground, folded.ground.rounds - 1
    rest = tuple(
        tuple(one for one in told if not (finding in kept and one.round == now))
        for finding, told in enumerate(ground.said)
    )
    other = ground_of(ground.network, rest, folded.case, like=ground)
    plan = other.plan(other.busy)
    posterior = posterior_of(other, plan)
    swept = posterior.log_evidence - other.constant
    network = replace(
        ground.network,
        prior=tuple(min(1.0, max(0.0, float(chance))) for chance in posterior.presence[-1]),
        links=tuple(link_chances(other, posterior, cause) for cause in range(len(ground.network.causes))),
        background=tuple(
            _background_now(other, plan, swept, finding) for finding in range(len(ground.network.findings))
        ),
    )
    said = tuple(
        tuple(replace(one, round=0) for one in told if finding in kept and one.round == now)
        for finding, told in enumerate(ground.said)
    )
    return ground_of(network, said, Case((folded.case.present,)))


def _fold_first(
    network: Network, said: tuple[tuple[Said, ...], ...], case: Case
) -> tuple[Network, float, tuple[float, ...]]:
    alone = Case((replace(case.rounds[0], gap=None),))
    first = tuple(tuple(one for one in told if one.round == 0) for told in said)
    ground = ground_of(network, first, alone)
    plan = ground.plan(ground.busy)
    posterior = posterior_of(ground, plan)
    presence = tuple(float(chance) for chance in posterior.presence[0])
    if posterior.log_evidence == -np.inf:
        return network, -np.inf, presence
    changes = change_between(network, case, 0)
    return (
        replace(
            network,
            prior=tuple(
                p * (1.0 - going) + (1.0 - p) * coming
                for p, (going, coming) in zip(presence, changes, strict=True)
            ),
            links=tuple(link_chances(ground, posterior, cause) for cause in range(len(network.causes))),
            background=tuple(
                background_chance(
                    network,
                    finding,
                    _background_now(ground, plan, posterior.log_evidence - ground.constant, finding),
                )
                for finding in range(len(network.findings))
            ),
        ),
        posterior.log_evidence,
        presence,
    )


def _background_now(ground: Ground, plan: Plan, swept: float, finding: int) -> float:
    """Give the chance that a background is there in the present round."""
    said = ground.said[finding]
    if not ground.bits[finding]:
        whole = background_weight(ground.network, finding, said, ground.rounds, frozenset())
        absent = background_weight(ground.network, finding, said, ground.rounds, frozenset(), absent_now=True)
        return 1.0 - absent / whole if whole > 0.0 else 0.0

    def closing(step: CloseStep) -> Floats:
        return ground.closing(step.finding, step.bits, absent_now=step.finding == finding)

    _, last, scale = forward(plan.steps, lambda step: ground.tables[step.cause].plain, closing)
    absent = float(np.exp(np.log(last[0]) + scale - swept)) if last[0] > 0.0 else 0.0
    return min(1.0, max(0.0, 1.0 - absent))
