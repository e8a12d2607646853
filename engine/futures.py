"""Futures: exact chances of what may be seen next, many at once.

A future is a row: operations to be done one after another, and, now and after each of them, a set
of findings that are then seen *not* to show. Its chance is one more sweep in which each cause's
weights are multiplied by the chance that it stays out of sight. Rows run through one backward pass
together; causes that touch none of the watched findings are swept once for all of them.

Backgrounds are taken as staying: a finding is seen not to show only if its background is absent
now, so that no step is credited with luck.
"""

from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass

import numpy as np

from engine.ground import CauseTable, Ground
from engine.lifelines import background_weight
from engine.sweep import CauseStep, CloseStep, Floats, Ints, backward, forward

MOST_CELLS = 1 << 21
"""Numbers in one table at a time; more rows than fit go through in portions."""


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


@dataclass(frozen=True, slots=True)
class Changes:
    """What operations do, by column; column 0 does nothing."""

    going: Floats
    """(columns, causes): chance that a cause that is there goes."""
    coming: Floats
    """(columns, causes): chance that one that is not comes."""


class Futures:
    """The chances of futures of one case, for the watched findings and the given changes."""

    def __init__(self, ground: Ground, watched: Sequence[int], changes: Changes) -> None:
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
        self._sights = {cause: _sight_of(ground, cause, self._watched) for cause in concerned}
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
        portion = max(1, MOST_CELLS // max(1, self._width))
        parts = [
            self._weigh(Rows(rows.operations[first : first + portion], rows.clear[first : first + portion]))
            for first in range(0, len(rows), portion)
        ]
        return np.concatenate(parts) / self._whole if parts else np.zeros(0)

    def _weigh(self, rows: Rows) -> Floats:
        ever = np.bitwise_or.reduce(rows.clear, axis=1)

        def weights(step: CauseStep) -> tuple[Floats, Ints | None]:
            sight = self._sights.get(step.cause)
            if sight is None:
                return self._ground.tables[step.cause].plain[None, :], None
            return self._seen(step.cause, sight, rows)

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

    def _seen(self, cause: int, sight: "_Sight", rows: Rows) -> tuple[Floats, Ints]:
        """Give the distinct weights of a cause over the rows, and which of them each row uses."""
        operations, clear = self._local(cause, sight, rows)
        distinct, uses = _distinct_rows(np.hstack([operations, clear]))
        length = operations.shape[1]
        operations, clear = distinct[:, :length], distinct[:, length:]
        patterns = np.arange(sight.weights.shape[1])
        # (rows, absent or present now, links on): chance to be there, chance to be away.
        there = np.zeros((len(distinct), 2, len(patterns)))
        there[:, 1, :] = 1.0
        away = 1.0 - there
        for number in range(length + 1):
            if number:
                going = self._changes.going[operations[:, number - 1], cause][:, None, None]
                coming = self._changes.coming[operations[:, number - 1], cause][:, None, None]
                there, away = there * (1.0 - going) + away * coming, away * (1.0 - coming) + there * going
            hidden = (patterns[None, :] & clear[:, number][:, None]) == 0
            there = there * hidden[:, None, :]
        unseen = (there + away).reshape(len(distinct), -1)
        masks = sight.weights.shape[2]
        return unseen @ sight.weights.reshape(-1, masks), uses

    def _local(self, cause: int, sight: "_Sight", rows: Rows) -> tuple[Ints, Ints]:
        acts = (self._changes.going[:, cause] > 0.0) | (self._changes.coming[:, cause] > 0.0)
        operations = np.where(acts[rows.operations], rows.operations, 0)
        clear = np.zeros_like(rows.clear)
        for place, number in enumerate(sight.watched):
            clear |= ((rows.clear >> number) & 1) << place
        return operations, clear


@dataclass(frozen=True, slots=True)
class _Sight:
    """A cause's weights, split by what could be seen of it."""

    watched: tuple[int, ...]
    """Numbers of the watched findings that it shows."""
    weights: Floats
    """(absent or present now, links on as bits over `watched`, masks)."""


def _sight_of(ground: Ground, cause: int, watched: tuple[int, ...]) -> _Sight:
    table: CauseTable = ground.tables[cause]
    strength = dict(ground.network.links[cause])
    seen = tuple(number for number, finding in enumerate(watched) if finding in strength)
    place = {watched[number]: bit for bit, number in enumerate(seen)}
    column = {int(mask): number for number, mask in enumerate(table.masks)}
    weights = np.zeros((2, 1 << len(seen), len(column)))
    for line, views in zip(table.lines, table.views, strict=True):
        found = {(0, 0): line.weight}
        told = {view.finding for view in views}
        links = [(view.strength, view.mask, view.killed, place.get(view.finding)) for view in views]
        links += [(strength[finding], 0, False, bit) for finding, bit in place.items() if finding not in told]
        for chance, mask, killed, bit in links:
            if bit is None and not killed and not mask:
                continue
            shown = 0 if bit is None else 1 << bit
            grown: dict[tuple[int, int], float] = {}
            for (held, pattern), share in found.items():
                _add(grown, (held, pattern), share * (1.0 - chance))
                if not killed:
                    _add(grown, (held | mask, pattern | shown), share * chance)
            found = grown
        for (held, pattern), share in found.items():
            weights[int(line.ends_present), pattern, column[held]] += share
    return _Sight(seen, weights)


def _add(into: dict[tuple[int, int], float], key: tuple[int, int], share: float) -> None:
    into[key] = into.get(key, 0.0) + share


def _absent_share(ground: Ground, finding: int) -> float:
    said = ground.said[finding]
    whole = background_weight(ground.network, finding, said, ground.rounds, frozenset())
    absent = background_weight(ground.network, finding, said, ground.rounds, frozenset(), absent_now=True)
    return absent / whole if whole > 0.0 else 0.0


def _distinct_rows(cells: Ints) -> tuple[Ints, Ints]:
    """Give the distinct rows of `cells`, and for each row which of them it is."""
    spans = cells.max(axis=0) + 1 if len(cells) else np.ones(cells.shape[1], dtype=np.int64)
    if float(np.prod(spans.astype(np.float64))) < 2.0**62:
        key = np.zeros(len(cells), dtype=np.int64)
        for number in range(cells.shape[1]):
            key = key * spans[number] + cells[:, number]
        _, first, uses = np.unique(key, return_index=True, return_inverse=True)
        return cells[first], uses.reshape(-1)
    distinct, uses = np.unique(cells, axis=0, return_inverse=True)
    return distinct, uses.reshape(-1)
