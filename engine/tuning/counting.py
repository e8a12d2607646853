"""Counting on one reed: how often, by all that is known of it, each chance had its say, and came true.

A link is counted only where its cause was present in a round in which its finding was told; a cure only
where its cause was present before the gap. Elsewhere nothing could be seen of them, and counting them at
their own chance would only slow the fit down.
(Expectation: A. Dempster, N. Laird and D. Rubin, Maximum likelihood from incomplete data via the EM
algorithm, Journal of the Royal Statistical Society B 39, 1977, from memory.)
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import inf

import numpy as np

from engine.case import Case, Gap
from engine.findings import Said
from engine.ground import CauseTable, Ground, explain_sets, ground_of
from engine.lifelines import changes_of
from engine.network import Network
from engine.posterior import posterior_of
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
    ground = ground_of(network, told.said, told.case)
    posterior = posterior_of(ground, ground.plan(ground.busy), with_unlisted=False)
    if posterior.log_evidence == -inf:
        nothing = np.zeros(0)
        return ReedCounts(-inf, np.zeros(0, dtype=np.int64), nothing, nothing)
    changes = changes_of(network, told.case)
    gaps = tuple(one.gap for one in told.case.rounds if one.gap is not None)
    found: list[tuple[int, float, float]] = []
    for cause, table in enumerate(ground.tables):
        said_in = frozenset(one.round for finding, _ in network.links[cause] for one in told.said[finding])
        if not said_in:
            continue
        context = posterior.contexts[cause]
        weights = table.weights.sum(axis=1) if context is None else table.weights @ context
        whole = float(weights.sum())
        room = (
            {}
            if context is None
            else dict(zip(table.masks.tolist(), (context / whole).tolist(), strict=True))
        )
        lived = _Lived(
            table,
            tuple((weights / whole).tolist()),
            room,
            tuple(one[cause] for one in changes),
            said_in,
            posterior.lit,
        )
        found.append((cause, 1.0, float(posterior.presence[0, cause])))
        found += _links(chances, ground, cause, lived)
        found += _gaps(chances, network, gaps, cause, lived)
    at, seen, on = zip(*found, strict=True) if found else ((), (), ())
    return ReedCounts(
        posterior.log_evidence, np.array(at, dtype=np.int64), np.array(seen, float), np.array(on, float)
    )


def _links(
    chances: Chances, ground: Ground, cause: int, lived: "_Lived"
) -> Iterator[tuple[int, float, float]]:
    """Count the links of one cause: tested where it was present and the finding told, true where on."""
    for place, (finding, strength) in enumerate(ground.network.links[cause]):
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
            on = max(0.0, lived.lit[cause, finding] - (1.0 - seen) * strength)
        yield chances.link_from[cause] + place, seen, on


def _gaps(
    chances: Chances, network: Network, gaps: tuple[Gap, ...], cause: int, lived: "_Lived"
) -> Iterator[tuple[int, float, float]]:
    """Count what gaps did to one cause: cures where it was present, coming back where it was not."""
    # After the last round in which anything was said of its findings, nothing of it can be seen.
    gaps = gaps[: max(lived.said_in)]
    cures = [None if gap.operation is None else chances.cure.get((gap.operation, cause)) for gap in gaps]
    nights = [_relapse(network, gap, cause) for gap in gaps]
    if not any(number is not None for number in cures) and not any(nights):
        return
    passages = passages_of(network.prior[cause], lived.changes, lived.said_in)
    there = went = came = np.zeros(len(lived.changes))
    for line, share in zip(lived.table.lines, lived.shares, strict=True):
        one = passages[line.seen, line.ends_present]
        there, went, came = there + share * one.there, went + share * one.went, came + share * one.came
    for number, (cure, night) in enumerate(zip(cures, nights, strict=True)):
        if cure is not None:
            yield cure, float(there[number]), float(went[number])
        if night:
            # It came by itself, or by what was done, or by both: the share of the first.
            by_itself = float(came[number]) * night / lived.changes[number][1]
            yield chances.night(cause), 1.0 - float(there[number]), by_itself


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
    changes: tuple[tuple[float, float], ...]
    said_in: frozenset[int]
    lit: Mapping[tuple[int, int], float]
