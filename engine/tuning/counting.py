"""Counting on one reed: how often, by all that is known of it, each chance had its say, and came true.

A link is counted only where its cause was present in a round in which its finding was told; a cure only
where its cause was present before the gap. Elsewhere nothing could be seen of them, and counting them at
their own chance would only slow the fit down.
(Expectation: A. Dempster, N. Laird and D. Rubin, Maximum likelihood from incomplete data via the EM
algorithm, Journal of the Royal Statistical Society B 39, 1977, from memory.)
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import inf

import numpy as np

from engine.case import Case, Gap
from engine.findings import Said
from engine.ground import CauseTable, Ground, explain_sets, ground_of
from engine.network import Network, change_of
from engine.posterior import Posterior, posterior_of
from engine.sweep import Floats, Ints
from engine.tuning.chances import Chances
from engine.tuning.passages import passages_of


@dataclass(frozen=True, slots=True)
class Told:
    """What is known of one reed, ready to be counted on under any chances."""

    said: tuple[tuple[Said, ...], ...]
    case: Case
    maker: int = 0
    """Whose log it comes from."""


@dataclass(frozen=True, slots=True)
class ReedCounts:
    """What one reed says about the chances that concern it."""

    log_evidence: float
    """-inf when its answers cannot all be true; then it counts for nothing."""
    at: Ints
    """Numbers of `Chances` (and of its nights)."""
    seen: Floats
    """How often each was put to the test, expected."""
    on: Floats
    """How often it came true, expected."""


def counts_of(chances: Chances, network: Network, told: Told) -> ReedCounts:
    """Count on one reed, under the chances of `network`. Raises TooWideError."""
    concerned = tuple(
        cause for cause, links in enumerate(network.links) if any(told.said[finding] for finding, _ in links)
    )
    small = _of_causes(network, concerned, told.case)
    ground = ground_of(small, told.said, told.case)
    posterior = posterior_of(ground, ground.plan(ground.busy), with_unlisted=False)
    if posterior.log_evidence == -inf:
        nothing = np.zeros(0)
        return ReedCounts(-inf, np.zeros(0, dtype=np.int64), nothing, nothing)
    gaps = tuple(one.gap for one in told.case.rounds if one.gap is not None)
    found: list[tuple[int, float, float]] = []
    for place, cause in enumerate(concerned):
        lived = _lived(ground, posterior, place)
        found.append((cause, 1.0, float(posterior.presence[0, place])))
        found += (
            (chances.link_from[cause] + link, seen, on) for link, seen, on in _links(ground, place, lived)
        )
        found += _gaps(chances, network, gaps, cause, lived)
    at, seen, on = zip(*found, strict=True) if found else ((), (), ())
    return ReedCounts(
        posterior.log_evidence, np.array(at, dtype=np.int64), np.array(seen, float), np.array(on, float)
    )


def _of_causes(network: Network, causes: Sequence[int], case: Case) -> Network:
    """Give the network of some causes and of what was done: all others say nothing about this reed."""
    place = {cause: number for number, cause in enumerate(causes)}
    done = {one.gap.operation for one in case.rounds if one.gap is not None}

    def kept(effects: tuple[tuple[int, float], ...]) -> tuple[tuple[int, float], ...]:
        return tuple((place[cause], chance) for cause, chance in effects if cause in place)

    return replace(
        network,
        causes=tuple(network.causes[cause] for cause in causes),
        prior=tuple(network.prior[cause] for cause in causes),
        relapse=tuple(network.relapse[cause] for cause in causes),
        links=tuple(network.links[cause] for cause in causes),
        effects=tuple(
            (operation, replace(one, cures=kept(one.cures), provokes=kept(one.provokes)))
            for operation, one in network.effects
            if operation in done
        ),
    )


def _lived(ground: Ground, posterior: Posterior, place: int) -> "_Lived":
    table, context = ground.tables[place], posterior.contexts[place]
    weights = table.weights.sum(axis=1) if context is None else table.weights @ context
    whole = float(weights.sum())
    room: dict[int, float] = {}
    if context is not None:
        room = dict(zip(table.masks.tolist(), (context / whole).tolist(), strict=True))
    said_in = frozenset(
        one.round for finding, _ in ground.network.links[place] for one in ground.said[finding]
    )
    lit = {finding: chance for (cause, finding), chance in posterior.lit.items() if cause == place}
    return _Lived(table, tuple((weights / whole).tolist()), room, said_in, lit)


def _links(ground: Ground, place: int, lived: "_Lived") -> Iterator[tuple[int, float, float]]:
    """Count the links of one cause: tested where it was present and the finding told, true where on."""
    for link, (finding, strength) in enumerate(ground.network.links[place]):
        if not ground.said[finding]:
            continue
        seen = on = 0.0
        for line, share, views in zip(lived.table.lines, lived.shares, lived.table.views, strict=True):
            view = next(one for one in views if one.finding == finding)
            if not (view.killed or view.mask):
                continue
            seen += share
            if view.mask and not lived.table.threads:
                others = [one for one in views if one is not view]
                sets = explain_sets(line.weight * strength, others)
                on += sum(weight * lived.room[mask | view.mask] for mask, weight in sets.items())
        if seen <= 0.0:
            continue
        if lived.table.threads:
            on = max(0.0, lived.lit[finding] - (1.0 - seen) * strength)
        yield link, seen, on


def _gaps(
    chances: Chances, network: Network, gaps: tuple[Gap, ...], cause: int, lived: "_Lived"
) -> Iterator[tuple[int, float, float]]:
    """Count what gaps did to one cause: cures where it was present, coming back where it was not."""
    # After the last round in which anything was said of its findings, nothing of it can be seen.
    last = max(lived.said_in)
    cures = [
        None if gap.operation is None else chances.cure.get((gap.operation, cause)) for gap in gaps[:last]
    ]
    nights = [_relapse(network, gap, cause) for gap in gaps[:last]]
    if not any(number is not None for number in cures) and not any(nights):
        return
    changes = tuple(_change(network, gap, cause) for gap in gaps)
    passages = passages_of(network.prior[cause], changes, lived.table.heard)
    there = went = came = np.zeros(len(changes))
    for line, share in zip(lived.table.lines, lived.shares, strict=True):
        one = passages[line.seen, line.ends_present]
        there, went, came = there + share * one.there, went + share * one.went, came + share * one.came
    for number, (cure, night) in enumerate(zip(cures, nights, strict=True)):
        if cure is not None:
            yield cure, float(there[number]), float(went[number])
        if night:
            # It came by itself, or by what was done, or by both: the share of the first.
            by_itself = float(came[number]) * night / changes[number][1]
            yield chances.night(cause), 1.0 - float(there[number]), by_itself


def _change(network: Network, gap: Gap, cause: int) -> tuple[float, float]:
    effects = None if gap.operation is None else network.effect_of(gap.operation)
    return change_of(network, cause, effects, new_sitting=gap.new_sitting)


def _relapse(network: Network, gap: Gap, cause: int) -> float:
    """Give the chance with which a cause comes by itself in a gap; 0 by day, or where a rest says its own."""
    if not gap.new_sitting:
        return 0.0
    effects = None if gap.operation is None else network.effect_of(gap.operation)
    stated = effects is not None and effects.is_rest and any(one == cause for one, _ in effects.provokes)
    return 0.0 if stated else network.relapse[cause]


@dataclass(frozen=True, slots=True)
class _Lived:
    """One cause of one reed after the sweep."""

    table: CauseTable
    shares: tuple[float, ...]
    """How likely each of its life lines is, by all that is known."""
    room: Mapping[int, float]
    """For each set of answers, what all else gives to its explaining them, over the whole."""
    said_in: frozenset[int]
    lit: Mapping[int, float]
    """Of a wide cause, for each finding, the chance that its link is on."""
