"""Futures: exact chances of what may be seen next, many at once.

A future is a row: operations to be done one after another, and, now and after each of them, a set
of findings that are then seen *not* to show. Its chance is one more sweep in which each cause's
weights are multiplied by the chance that it stays out of sight. Rows run through one backward pass
together; causes that touch none of the watched findings are swept once for all of them.

Backgrounds are taken as staying: a finding is seen not to show only if its background is absent
now, so that no step is credited with luck.
"""

from collections.abc import Mapping, Sequence
from copy import copy
from dataclasses import dataclass
from functools import cache, cached_property
from math import log1p
from typing import Final

import numpy as np
from numpy.typing import NDArray

from engine.ground import CauseTable, Ground
from engine.lifelines import background_weight
from engine.network import Network, changes_in
from engine.sweep import CauseStep, CloseStep, Floats, Ints, backward, forward
from kb.model import Remedy

MOST_CELLS: Final = 1 << 21
"""Numbers in one table at a time; more rows than fit go through in portions."""

NEVER: Final = -1e4
"""A logarithm so small that its exponential is 0; unlike -inf it may be multiplied by 0."""

DIRECT: Final = 1 << 16
"""Keys below this are told apart by a table, above it by sorting."""


@dataclass(frozen=True, slots=True)
class Rows:
    """Futures, one a row."""

    operations: Ints
    """(rows, length): columns of `Changes`, 0 for nothing."""
    clear: Ints
    """(rows, length + 1): watched findings, as bits, seen not to show now and after each operation."""

    def __len__(self) -> int:
        """Count the rows."""
        return len(self.operations)


@dataclass(frozen=True)
class Changes:
    """What operations do, by column; column 0 does nothing."""

    going: Floats
    """(columns, causes): chance that a cause that is there goes."""
    coming: Floats
    """(columns, causes): chance that one that is not comes."""

    @classmethod
    def of(cls, network: Network, operations: Sequence[Remedy]) -> "Changes":
        """Give what each of `operations` does, in the columns from 1 on."""
        nothing = ((0.0, 0.0),) * len(network.causes)
        done = [
            changes_in(network, network.effect_of(one.id), new_sitting=one.new_sitting) for one in operations
        ]
        each = np.array([nothing, *done]).reshape(1 + len(done), len(network.causes), 2)
        return cls(each[..., 0], each[..., 1])

    @cached_property
    def acts(self) -> NDArray[np.bool_]:
        """(columns, causes): whether the operation does anything to the cause."""
        return np.asarray((self.going > 0.0) | (self.coming > 0.0))

    @cached_property
    def moved(self) -> frozenset[int]:
        """The causes to which any of the operations does anything."""
        return frozenset(np.flatnonzero(self.acts.any(axis=0)).tolist())


class Futures:
    """The chances of futures of one case, for the watched findings and the given changes."""

    def __init__(
        self, ground: Ground, watched: Sequence[int], changes: Changes, repeated: frozenset[int] = frozenset()
    ) -> None:
        """Prepare futures. Findings not in `repeated` (by watched number) are looked at once in a row.

        Raises ValueError for a ground with causes too wide to list: see `engine.folding.foreseen`.
        """
        if any(table.threads for table in ground.tables):
            raise ValueError("this ground holds causes that are swept link by link")
        self._ground = ground
        self._watched = tuple(watched)
        self._changes = changes
        concerned = frozenset(
            cause
            for cause, links in enumerate(ground.network.links)
            if any(finding in self._watched for finding, _ in links)
        )
        plan = ground.plan(tuple(sorted(concerned.union(ground.busy))), concerned)
        own = [
            number
            for number, step in enumerate(plan.steps)
            if (step.cause in concerned if isinstance(step, CauseStep) else step.finding in self._watched)
        ]
        start = min(own, default=len(plan.steps))
        _, self._first, _ = forward(
            plan.steps[:start],
            lambda step: ground.tables[step.cause].plain,
            lambda step: ground.closing(step.finding, step.bits),
        )
        self._steps = plan.steps[start:]
        self._width = plan.width
        self._sights = {
            cause: _sight_of(ground, cause, self._watched, repeated) for cause in sorted(concerned)
        }
        self._glance = _Glance.of(self._watched, self._sights)
        self._closings = {
            step.finding: (
                ground.closing(step.finding, step.bits),
                ground.closing(step.finding, step.bits, absent_now=True),
            )
            for step in self._steps
            if isinstance(step, CloseStep)
        }
        self._quiet = tuple(
            (number, _absent_share(ground, finding))
            for number, finding in enumerate(self._watched)
            if not ground.bits[finding]
        )
        nothing = Rows(np.zeros((1, 0), dtype=np.int64), np.zeros((1, 1), dtype=np.int64))
        self._whole = float(self._weigh(nothing)[0])

    def with_changes(self, changes: Changes) -> "Futures":
        """Give the same futures with other changes."""
        other = copy(self)
        other._changes = changes  # noqa: SLF001 - our own copy
        return other

    def chances(self, rows: Rows) -> Floats:
        """Give the chance of each row, given the case."""
        if not len(rows):
            return np.zeros(0)
        first, uses = _different(rows)
        portion = max(1, MOST_CELLS // max(1, self._width))
        parts = [
            self._weigh(Rows(rows.operations[some], rows.clear[some]))
            for some in (first[start : start + portion] for start in range(0, len(first), portion))
        ]
        return np.asarray((np.concatenate(parts) / self._whole)[uses])

    def _weigh(self, rows: Rows) -> Floats:
        ever = np.bitwise_or.reduce(rows.clear, axis=1)
        moments = _moments_of(rows, self._glance, self._changes)

        def weights(step: CauseStep) -> tuple[Floats, Ints | None]:
            sight = self._sights.get(step.cause)
            if sight is None:
                return self._ground.tables[step.cause].plain[None, :], None
            return self._seen(step.cause, sight, moments)

        def closing(step: CloseStep) -> Floats:
            plain, absent = self._closings[step.finding]
            if step.finding not in self._watched:
                return plain[None, :]
            is_clear = (ever >> self._watched.index(step.finding)) & 1
            return np.where(is_clear[:, None] == 1, absent[None, :], plain[None, :])

        chances = backward(self._steps, weights, closing, len(rows)) @ self._first
        for number, share in self._quiet:
            chances = np.where((ever >> number) & 1, chances * share, chances)
        return np.asarray(chances)

    def _seen(self, cause: int, sight: "_Sight", moments: "_Moments") -> tuple[Floats, Ints]:
        """Give the distinct weights of a cause over the rows, and which of them each row uses."""
        place, patterns = self._glance.place[cause], self._glance.patterns[cause]
        if cause not in self._changes.moved:
            seen = moments.ever[:, patterns] @ sight.weights[1]
            return sight.weights[0].sum(axis=0)[None, :] + seen, moments.uses
        going, coming = self._changes.going[:, cause], self._changes.coming[:, cause]
        numbered = [_numbered(one.done[:, place], one.known[:, place]) for one in moments.moments]
        distinct, uses = _distinct(numbered, [one.symbol for one in moments.moments])
        # (distinct rows, absent or present now, patterns): chance to be there, chance to be away.
        there = np.zeros((distinct.shape[1], *sight.weights.shape[:2]))
        there[:, 1, :] = 1.0
        away = 1.0 - there
        for number, (pairs, one) in enumerate(zip(distinct, moments.moments, strict=True)):
            if number:
                done = one.done[pairs, place]
                goes, comes = going[done][:, None, None], coming[done][:, None, None]
                there, away = there * (1.0 - goes) + away * comes, away * (1.0 - comes) + there * goes
            there = there * one.unlit[:, patterns][pairs][:, None, :]
        unseen = (there + away).reshape(distinct.shape[1], -1)
        return unseen @ sight.weights.reshape(-1, sight.weights.shape[2]), uses


def _different(rows: Rows) -> tuple[Ints, Ints]:
    """Tell the different rows apart: give the place of the first of each kind, and each row's kind.

    Contexts that differ only in what they do not use ask for the same futures: mostly one in three
    is new. Rows are told apart by a mixed number each, and compared in full where two have the same.
    """
    columns = np.hstack([rows.operations, rows.clear])
    mixed = (columns.astype(np.uint64) * _mixers(columns.shape[1])).sum(axis=1, dtype=np.uint64)
    _, first, uses = np.unique(mixed ^ (mixed >> np.uint64(31)), return_index=True, return_inverse=True)
    uses = uses.reshape(-1)
    if not np.array_equal(columns[first[uses]], columns):
        _, first, uses = np.unique(columns, axis=0, return_index=True, return_inverse=True)
        uses = uses.reshape(-1)
    return first, uses


@cache
def _mixers(count: int) -> NDArray[np.uint64]:
    """Give `count` odd multipliers: powers of one whose bits are well mixed."""
    return np.cumprod(np.full(count, 0x9E3779B97F4A7C15, dtype=np.uint64), dtype=np.uint64)


@dataclass(frozen=True, slots=True)
class _Glance:
    """What can be seen of all concerned causes, side by side, so that it is worked out at one stroke."""

    place: Mapping[int, int]
    """For each cause its place among them."""
    patterns: Mapping[int, slice]
    """For each cause the places of its patterns."""
    places: Floats
    """(watched, causes): the bit by which each cause knows the finding."""
    unlit: Floats
    """(watched, patterns of all causes): log chance that the link to the finding is off."""

    @classmethod
    def of(cls, watched: Sequence[int], sights: "Mapping[int, _Sight]") -> "_Glance":
        """Set sights side by side."""
        nothing = np.zeros((len(watched), 0))
        ends = np.cumsum([0, *(one.unlit.shape[1] for one in sights.values())]).tolist()
        return cls(
            {cause: place for place, cause in enumerate(sights)},
            {cause: slice(*ends[place : place + 2]) for place, cause in enumerate(sights)},
            np.hstack([nothing, *(one.places[:, None] for one in sights.values())]),
            np.hstack([nothing, *(one.unlit for one in sights.values())]),
        )


@dataclass(frozen=True, slots=True)
class _Moment:
    """One moment of all rows: the distinct pairs (operation, seen clear) that occur then."""

    symbol: Ints
    """Which pair each row has."""
    done: Ints
    """(pairs, causes): the operation, 0 where it does nothing to the cause."""
    known: Floats
    """(pairs, causes): what is seen clear, as the bits by which the cause knows it."""
    unlit: Floats
    """(pairs, patterns of all causes): chance that the links to all that is seen clear are off."""


@dataclass(frozen=True, slots=True)
class _Moments:
    """Rows, moment by moment, and all moments taken together."""

    moments: tuple[_Moment, ...]
    ever: Floats
    """(sets, patterns of all causes): as `unlit`, of the sets that are seen clear at any moment."""
    uses: Ints
    """For each row which of these sets is its own."""


def _moments_of(rows: Rows, glance: _Glance, changes: Changes) -> _Moments:
    places = np.arange(len(glance.unlit), dtype=np.int64)
    acts = changes.acts[:, list(glance.place)]
    moments = []
    for moment in range(rows.clear.shape[1]):
        clear = rows.clear[:, moment]
        operation = rows.operations[:, moment - 1] if moment else np.zeros_like(clear)
        key = clear * (int(operation.max(initial=0)) + 1) + operation
        _, first, symbol = np.unique(key, return_index=True, return_inverse=True)
        seen = ((clear[first, None] >> places) & 1).astype(np.float64)
        done = np.where(acts[operation[first]], operation[first, None], 0)
        moments.append(_Moment(symbol.reshape(-1), done, seen @ glance.places, np.exp(seen @ glance.unlit)))
    ever, uses = np.unique(np.bitwise_or.reduce(rows.clear, axis=1), return_inverse=True)
    in_ever = ((ever[:, None] >> places) & 1).astype(np.float64)
    return _Moments(tuple(moments), np.exp(in_ever @ glance.unlit), uses.reshape(-1))


def _numbered(operations: Ints, clear: Floats) -> tuple[Ints, Ints]:
    """Tell the distinct pairs apart: give for each pair its number, and for each number its first pair."""
    # A handful of pairs: a dictionary is several times faster here than sorting arrays.
    known: dict[tuple[int, float], int] = {}
    first, number = [], []
    for place, pair in enumerate(zip(operations.tolist(), clear.tolist(), strict=True)):
        if pair not in known:
            known[pair] = len(known)
            first.append(place)
        number.append(known[pair])
    return np.array(number, dtype=np.int64), np.array(first, dtype=np.int64)


def _distinct(numbered: Sequence[tuple[Ints, Ints]], symbol: Sequence[Ints]) -> tuple[Ints, Ints]:
    """Give the distinct rows as (moments, distinct rows) of pairs, and for each row which it is."""
    key = np.zeros(len(symbol[0]), dtype=np.int64)
    size = 1
    for (number, first), of_row in zip(numbered, symbol, strict=True):
        if size * len(first) >= DIRECT:
            _, key = np.unique(key, return_inverse=True)
            key = key.reshape(-1)
            size = int(key.max(initial=0)) + 1
        key = key * len(first) + number[of_row]
        size *= len(first)
    if size < DIRECT:
        where = np.full(size, -1, dtype=np.int64)
        where[key] = np.arange(len(key))
        rows = where[where >= 0]
        where[where >= 0] = np.arange(len(rows))
        uses = where[key]
    else:
        _, rows, uses = np.unique(key, return_index=True, return_inverse=True)
        uses = uses.reshape(-1)
    return np.stack(
        [first[number[of_row[rows]]] for (number, first), of_row in zip(numbered, symbol, strict=True)]
    ), uses


@dataclass(frozen=True, slots=True)
class _Sight:
    """A cause's weights, split by what could be seen of it.

    A *pattern* says which of its links to watched findings are on, which are off, and which may be either.
    """

    places: Floats
    """For each watched finding the bit by which it is known here, 0 where looking at it tells nothing of
    this cause."""
    unlit: Floats
    """(watched, patterns): log chance that the link to the finding is off."""
    weights: Floats
    """(absent or present now, patterns, masks)."""


def _sight_of(ground: Ground, cause: int, watched: tuple[int, ...], repeated: frozenset[int]) -> _Sight:
    """Split the weights of a cause.

    Links to `repeated` findings are on or off in each pattern, since more than one look must find them
    in the same state. Of the others a no has ruled some out, and some are known from the mask: it holds
    their bits exactly if they are on. All that are left may be either: so patterns stay few, however much
    was asked before.
    """
    table: CauseTable = ground.tables[cause]
    strength = dict(ground.network.links[cause])
    place = {finding: number for number, finding in enumerate(watched) if finding in strength}
    column = {int(mask): number for number, mask in enumerate(table.masks)}
    weights: dict[tuple[int, int], Floats] = {}
    for line, views in zip(table.lines, table.views, strict=True):
        told = {view.finding: view for view in views}
        found, either = {(0, 0): line.weight}, 0
        for finding in {**told, **place}:
            view, number = told.get(finding), place.get(finding)
            mask, killed = (view.mask, view.killed) if view else (0, False)
            lit = 0 if number is None else 1 << number
            if not killed and not mask and number not in repeated:
                either |= lit
                continue
            chance = strength[finding]
            grown: dict[tuple[int, int], float] = {}
            for (held, on), share in found.items():
                _add(grown, (held, on), share * (1.0 - chance))
                if not killed:
                    _add(grown, (held | mask, on | lit), share * chance)
            found = grown
        for (held, on), share in found.items():
            of_pattern = weights.setdefault((on, either), np.zeros((2, len(column))))
            of_pattern[int(line.ends_present), column[held]] += share
    unlit = np.array(
        [
            [_log_unlit(number, on, either, strength.get(finding, 0.0)) for on, either in weights]
            for number, finding in enumerate(watched)
        ]
    )
    places = np.where(unlit.any(axis=1), 2.0 ** np.arange(len(watched)), 0.0)
    return _Sight(places, unlit, np.stack(list(weights.values()), axis=1))


def _log_unlit(number: int, on: int, either: int, strength: float) -> float:
    """Give the log chance that the link to a watched finding is off, in a pattern."""
    if on >> number & 1 or (either >> number & 1 and strength == 1.0):
        return NEVER
    return log1p(-strength) if either >> number & 1 else 0.0


def _add(into: dict[tuple[int, int], float], key: tuple[int, int], share: float) -> None:
    into[key] = into.get(key, 0.0) + share


def _absent_share(ground: Ground, finding: int) -> float:
    said = ground.said[finding]
    whole = background_weight(ground.network, finding, said, ground.rounds, frozenset())
    absent = background_weight(ground.network, finding, said, ground.rounds, frozenset(), absent_now=True)
    return absent / whole if whole > 0.0 else 0.0
