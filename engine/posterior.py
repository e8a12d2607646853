"""One sweep there and back over a case that is laid out: the posterior, by number."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import inf, log

import numpy as np

from engine.ground import CauseTable, Ground, explain_sets
from engine.sweep import CauseStep, CloseStep, Floats, LinkStep, Plan, backward, forward


@dataclass(frozen=True, slots=True)
class Posterior:
    """What one sweep there and back finds, by number."""

    log_evidence: float
    unlisted: float
    presence: Floats
    """(rounds, causes): chance that the cause is present in the round."""
    contexts: tuple[Floats | None, ...]
    """For each cause the weight that all else gives to its explaining each of its masks."""
    lit: Mapping[tuple[int, int], float] = field(default_factory=dict)
    """For each link (cause, finding) of a wide cause the chance that it is on."""


def log_evidence_of(ground: Ground, plan: Plan) -> float:
    """Give the logarithm of the summed weights of everything that can have happened; -inf for nothing."""
    _, last, scale = forward(
        plan.steps,
        lambda step: ground.tables[step.cause].plain,
        lambda step: ground.closing(step.finding, step.bits),
    )
    return log(last[0]) + scale + ground.constant if last[0] > 0.0 else -inf


def posterior_of(ground: Ground, plan: Plan, *, with_unlisted: bool = True) -> Posterior:
    """Sweep forward and backward over all causes; `unlisted` takes one more sweep, and is 0 without it."""
    tables = ground.tables
    constant = ground.constant
    before, last, scale = forward(
        plan.steps,
        lambda step: tables[step.cause].plain,
        lambda step: ground.closing(step.finding, step.bits),
    )
    if not last[0] > 0.0 or constant == -inf:
        nothing = np.zeros((ground.rounds, len(tables)))
        return Posterior(-inf, 0.0, nothing, (None,) * len(tables))
    at = {id(step): number for number, step in enumerate(plan.steps)}
    contexts: list[Floats | None] = [None] * len(tables)
    lit: dict[tuple[int, int], float] = {}

    def look(step: CauseStep | LinkStep, table: Floats) -> None:
        ahead = before[at[id(step)]]
        if isinstance(step, CauseStep):
            contexts[step.cause] = np.asarray(ahead @ table[0][step.to].T)
            return
        on = float((ahead * step.on) @ table[0][step.on_to])
        lit[step.cause, step.finding] = on / (on + float((ahead * step.off) @ table[0][step.off_to]))

    def plain(step: CauseStep) -> tuple[Floats, None]:
        return tables[step.cause].plain[None, :], None

    backward(plan.steps, plain, lambda step: ground.closing(step.finding, step.bits)[None, :], 1, look)
    presence = _presence(tables, contexts) if tables else np.zeros((ground.rounds, 0))
    swept = float(np.log(last[0])) + scale
    unlisted = _unlisted(ground, plan, swept) if with_unlisted else 0.0
    return Posterior(swept + constant, unlisted, presence, tuple(contexts), lit)


def _presence(tables: Sequence[CauseTable], contexts: Sequence[Floats | None]) -> Floats:
    """Give for each round the chance of each cause: the share of its life lines on which it is there."""
    shares = np.concatenate(
        [
            table.lived if context is None else table.weights @ context
            for table, context in zip(tables, contexts, strict=True)
        ]
    )
    lived = np.array([line.presence for table in tables for line in table.lines])
    first = np.cumsum([0, *(len(table.lines) for table in tables[:-1])])
    there = np.add.reduceat(lived * shares[:, None], first) / np.add.reduceat(shares, first)[:, None]
    return np.asarray(there.T)


def _unlisted(ground: Ground, plan: Plan, swept: float) -> float:
    def listed(step: CloseStep) -> Floats:
        return ground.closing(step.finding, step.bits, listed_only=True)

    _, last, scale = forward(plan.steps, lambda step: ground.tables[step.cause].plain, listed)
    if not last[0] > 0.0:
        return 1.0
    return max(0.0, -float(np.expm1(log(last[0]) + scale - swept)))


def link_chances(ground: Ground, posterior: Posterior, cause: int) -> tuple[tuple[int, float], ...]:
    """Give for each link of `cause` (by finding number) the chance that it is on for this reed.

    A link about whose finding nothing was said keeps its strength.
    """
    table, context = ground.tables[cause], posterior.contexts[cause]
    chances = []
    for finding, strength in ground.network.links[cause]:
        if not ground.said[finding]:
            chances.append((finding, strength))
            continue
        if table.threads:
            chances.append((finding, posterior.lit[cause, finding]))
            continue
        on = total = 0.0
        for row, (line, views) in enumerate(zip(table.lines, table.views, strict=True)):
            total += _in_context(
                table, dict(zip(table.masks.tolist(), table.weights[row], strict=True)), context
            )
            view = next(one for one in views if one.finding == finding)
            if not view.killed:
                others = [one for one in views if one.finding != finding]
                found: dict[int, float] = {}
                for mask, share in explain_sets(line.weight * strength, others).items():
                    found[mask | view.mask] = found.get(mask | view.mask, 0.0) + share
                on += _in_context(table, found, context)
        chances.append((finding, on / total))
    return tuple(chances)


def _in_context(table: CauseTable, found: dict[int, float], context: Floats | None) -> float:
    if context is None:
        return sum(found.values())
    column = {mask: number for number, mask in enumerate(table.masks.tolist())}
    return float(sum(share * context[column[mask]] for mask, share in found.items()))
