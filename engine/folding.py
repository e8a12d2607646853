"""Folding: when a case hangs together too widely, its oldest rounds become this reed's own chances.

What the oldest round taught is kept as a product of marginals: each cause's chance to be there
when the next round began, each link's chance to be on, each background's to be there. What it
taught about combinations is lost, so a folded belief says that it is not exact.
(X. Boyen and D. Koller, Tractable inference for complex stochastic processes, UAI 1998, from memory.)
"""

from dataclasses import dataclass, replace

import numpy as np

from engine.case import Case
from engine.findings import Said, evidence_of
from engine.ground import Ground, ground_of
from engine.lifelines import background_chance, change_between
from engine.network import Network, network_of
from engine.posterior import link_chances, posterior_of
from engine.sweep import CloseStep, Floats, Plan, TooWideError, forward
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


def fold_until_narrow(ruleset: Ruleset, case: Case) -> Folded:
    """Lay out `case`, folding as few of its oldest rounds as the budget asks for (mostly none).

    Raises TooWideError when the present round alone is too wide.
    """
    network = network_of(ruleset)
    said = evidence_of(ruleset, network, case)
    rounds, weight = 0, 0.0
    earlier: list[tuple[float, ...]] = []
    while True:
        try:
            ground = ground_of(network, said, case)
            return Folded(ground, ground.plan(ground.busy), case, rounds, weight, tuple(earlier))
        except TooWideError:
            if len(case.rounds) == 1:
                raise
        network, log_evidence, presence = _fold_first(network, said, case)
        earlier.append(presence)
        weight += log_evidence
        rounds += 1
        case = Case(case.rounds[1:])
        said = tuple(
            tuple(replace(one, round=one.round - 1) for one in told if one.round > 0) for told in said
        )


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
                _background_after(ground, plan, posterior.log_evidence - ground.constant, finding)
                for finding in range(len(network.findings))
            ),
        ),
        posterior.log_evidence,
        presence,
    )


def _background_after(ground: Ground, plan: Plan, swept: float, finding: int) -> float:
    """Give the chance that a background is there after the gap that follows the only round."""
    network = ground.network
    if not ground.said[finding]:
        chance = network.background[finding]
    elif not ground.bits[finding]:
        chance = 0.0
    else:

        def closing(step: CloseStep) -> Floats:
            return ground.closing(step.finding, step.bits, absent_now=step.finding == finding)

        _, last, scale = forward(plan.steps, lambda step: ground.tables[step.cause].plain, closing)
        absent = float(np.exp(np.log(last[0]) + scale - swept)) if last[0] > 0.0 else 0.0
        chance = min(1.0, max(0.0, 1.0 - absent))
    return background_chance(network, finding, chance)
