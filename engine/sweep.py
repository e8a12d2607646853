"""The exact sweep: a table over the sets of answers already explained, one cause at a time.

Every yes, slightly or soft reading is a bit. A cause on one of its life lines, with some of its
links on, explains some bits; the table holds, for every set of bits that can be reached, the
weight of all ways to explain exactly that set by causes. When the last cause that touches a
finding is done, its background closes the finding: what is left unexplained is weighed, and the
finding's bits are dropped from the sets. So the width of the table follows the findings that are
open at one time and not their number. All terms are non-negative, so nothing cancels.
(The inclusion-exclusion form of the same sums: D. Heckerman, A tractable algorithm for diagnosing
multiple diseases, UAI 1989. Keeping a table of what is explained is worked out in docs/method.)

`Plan` holds the structure (which set goes where), `Backward` and `Forward` run numbers through it.
"""

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import log
from typing import Final

import numpy as np
from numpy.typing import NDArray

from engine.refusal import TooWideError

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

WIDEST: Final = 1 << 20
"""Sets in one table at most; beyond it old rounds are folded (engine.folding)."""
MOST_GROWN: Final = 1 << 24
"""Sets before any two alike are made one, in one step at most: what the memory has to hold for a moment."""
SMALL: Final = 1e-60
"""A table with no number above this is scaled up."""
MOST_BITS: Final = 51
"""Answers that one table can tell apart."""
LINE_BIT: Final = MOST_BITS
"""From here up, the number of a wide cause's life line while its links are swept."""


@dataclass(frozen=True, slots=True)
class CauseStep:
    """Cause `cause` is swept: explaining `masks[j]` leads from set i to set `to[j, i]`."""

    cause: int
    masks: Ints
    to: Ints
    before: int
    after: int


@dataclass(frozen=True, slots=True)
class LinkStep:
    """One link of a wide cause is swept: off leads from set i to itself, on to set `on_to[i]`.

    While a wide cause is being swept its life line is part of the set, in the bits from
    `LINE_BIT` up, so that each link can be swept by itself.
    """

    cause: int
    finding: int
    on_to: Ints
    off_to: Ints
    on: Floats
    """For each set the chance that the link is on; 0 where an answer rules it out."""
    off: Floats
    before: int
    after: int


@dataclass(frozen=True, slots=True)
class CloseStep:
    """Finding `finding` is closed: set i holds its bits `held[i]`, and goes on as set `to[i]`.

    For the end of a wide cause, `finding` is None, and nothing is weighed: its life line is dropped.
    """

    finding: int | None
    bits: Ints
    """The distinct sub-sets of the finding's bits that occur."""
    held: Ints
    to: Ints
    before: int
    after: int


PlanStep = CauseStep | LinkStep | CloseStep


@dataclass(frozen=True, slots=True)
class Thread:
    """One link of a wide cause, life line by life line."""

    finding: int
    masks: tuple[int, ...]
    """For each life line what the link explains when it is on."""
    on: tuple[float, ...]
    off: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Plan:
    """The steps in order. It starts and ends with the empty set alone."""

    steps: tuple[PlanStep, ...]

    @property
    def width(self) -> int:
        """The largest number of sets held at one time."""
        return max((max(step.before, step.after) for step in self.steps), default=1)


def make_plan(
    order: Sequence[int],
    masks: Sequence[Ints],
    threads: Sequence[tuple[Thread, ...]],
    bits: Sequence[int],
    touching: Sequence[Sequence[int]],
    widest: int = WIDEST,
) -> Plan:
    """Lay out the sweep of the causes in `order`.

    `masks[c]` are the bit sets that cause c can explain (of a wide cause: its life lines, and
    `threads[c]` its links), `bits[f]` the bits of finding f (0 for
    a finding without any), `touching[f]` the causes in `order` that can explain one of them.
    Raises TooWideError when a table would hold more than `widest` sets.
    """
    position = {cause: number for number, cause in enumerate(order)}
    closes: dict[int, list[int]] = {}
    steps: list[PlanStep] = []
    sets = np.zeros(1, dtype=np.int64)
    for finding, mask in enumerate(bits):
        if mask:
            last = max((position[cause] for cause in touching[finding]), default=-1)
            closes.setdefault(last, []).append(finding)

    def close(position_done: int, sets: Ints) -> Ints:
        for finding in closes.get(position_done, ()):
            distinct, held = np.unique(sets & bits[finding], return_inverse=True)
            left, to = np.unique(sets & ~np.int64(bits[finding]), return_inverse=True)
            steps.append(CloseStep(finding, distinct, held.reshape(-1), to.reshape(-1), len(sets), len(left)))
            sets = left
        return sets

    sets = close(-1, sets)
    for number, cause in enumerate(order):
        if len(sets) * len(masks[cause]) > MOST_GROWN:
            raise TooWideError(len(sets) * len(masks[cause]))
        grown, to = np.unique(sets[None, :] | masks[cause][:, None], return_inverse=True)
        if len(grown) > widest:
            raise TooWideError(len(grown))
        steps.append(CauseStep(cause, masks[cause], to.reshape(len(masks[cause]), -1), len(sets), len(grown)))
        if threads[cause]:
            grown = _sweep_links(cause, threads[cause], grown, steps, widest)
        sets = close(number, grown)
    return Plan(tuple(steps))


def _sweep_links(
    cause: int, threads: Sequence[Thread], sets: Ints, steps: list[PlanStep], widest: int
) -> Ints:
    """Add the steps of a wide cause's links, and the one that drops its life line. Give the sets after it."""
    for thread in threads:
        line = sets >> LINE_BIT
        lit = sets | np.array(thread.masks, dtype=np.int64)[line]
        grown, to = np.unique(np.concatenate([lit, sets]), return_inverse=True)
        if len(grown) > widest:
            raise TooWideError(len(grown))
        on_to, off_to = np.split(to.reshape(-1), 2)
        on, off = np.array(thread.on)[line], np.array(thread.off)[line]
        steps.append(LinkStep(cause, thread.finding, on_to, off_to, on, off, len(sets), len(grown)))
        sets = grown
    left, to = np.unique(sets & ((np.int64(1) << LINE_BIT) - 1), return_inverse=True)
    nothing, held = np.zeros(1, dtype=np.int64), np.zeros(len(sets), dtype=np.int64)
    steps.append(CloseStep(None, nothing, held, to.reshape(-1), len(sets), len(left)))
    return np.asarray(left)


@lru_cache(maxsize=512)
def in_good_order(reach: tuple[int, ...], last: frozenset[int] = frozenset()) -> tuple[int, ...]:
    """Order causes so that few findings are open at a time; those in `last` come last.

    Causes are known by their place in `reach`, which has as bits the findings that each can explain.
    Greedy: the next cause is the one that opens the fewest findings beyond those that it closes.
    Remembered: one step lays out the same findings several times.
    """
    waiting = Counter(finding for mask in reach for finding in _bits_of(mask))
    last_of = sum(finding for finding, count in waiting.items() if count == 1)
    is_open = 0
    ordered: list[int] = []
    for late in (False, True):
        # Causes that reach the same are priced together: pricing is most of a large plan's time.
        alike: dict[int, list[int]] = {}
        for place in range(len(reach) - 1, -1, -1):
            if (place in last) is late:
                alike.setdefault(reach[place], []).append(place)
        while alike:
            _, _, chosen, reached = min(
                (
                    (mask & ~is_open).bit_count() - (mask & last_of).bit_count(),
                    -(mask & is_open).bit_count(),
                    same[-1],
                    mask,
                )
                for mask, same in alike.items()
            )
            alike[reached].pop()
            if not alike[reached]:
                del alike[reached]
            ordered.append(chosen)
            is_open |= reached
            for finding in _bits_of(reached):
                waiting[finding] -= 1
                if waiting[finding] == 1:
                    last_of |= finding
                elif not waiting[finding]:
                    is_open ^= finding
    return tuple(ordered)


def _bits_of(mask: int) -> Iterator[int]:
    while mask:
        yield mask & -mask
        mask &= mask - 1


def forward(
    steps: Sequence[PlanStep],
    weights: Callable[[CauseStep], Floats],
    closing: Callable[[CloseStep], Floats],
) -> tuple[list[Floats], Floats, float]:
    """Run one row of numbers forward. Give the table before each step, the last table, and its log scale.

    `weights(step)` has a weight for each of its masks, `closing(step)` one for each of its `bits`.
    Tables that grow small are scaled to a greatest value of 1; the scale is kept as a logarithm.
    """
    table: Floats = np.ones(1)
    before: list[Floats] = []
    scale = 0.0
    for step in steps:
        before.append(table)
        if isinstance(step, LinkStep):
            lit = np.bincount(step.on_to, step.on * table, step.after)
            table = np.asarray(lit + np.bincount(step.off_to, step.off * table, step.after))
        elif isinstance(step, CauseStep):
            spread = weights(step)[:, None] * table[None, :]
            table = np.bincount(step.to.reshape(-1), spread.reshape(-1), step.after).astype(
                np.float64, copy=False
            )
        else:
            closed = table * closing(step)[step.held]
            table = np.bincount(step.to, closed, step.after).astype(np.float64, copy=False)
        greatest = float(table.max())
        if 0.0 < greatest < SMALL:
            table = table / greatest
            scale += log(greatest)
    return before, table, scale


def backward(
    steps: Sequence[PlanStep],
    weights: Callable[[CauseStep], tuple[Floats, Ints | None]],
    closing: Callable[[CloseStep], Floats],
    rows: int,
    visit: Callable[[CauseStep | LinkStep, Floats], None] | None = None,
) -> Floats:
    """Run `rows` rows of numbers backward at once; give, for each, the weight of every first set.

    `weights(step)` gives distinct rows of weights (rows', masks) and for each row which of them it
    uses (None: row by row, or one for all); `closing(step)` gives (rows or 1, bits). `visit` is
    handed each cause's step with the table after it.
    """
    table = np.ones((rows, 1))
    for step in reversed(steps):
        if isinstance(step, CloseStep):
            table = closing(step)[:, step.held] * table[:, step.to]
            continue
        if visit is not None:
            visit(step, table)
        if isinstance(step, LinkStep):
            table = step.on * table[:, step.on_to] + step.off * table[:, step.off_to]
            continue
        distinct, uses = weights(step)
        per_row = distinct if uses is None else distinct[uses]
        summed = per_row[:, :1] * table[:, step.to[0]]
        for number in range(1, len(step.masks)):
            summed = summed + per_row[:, number : number + 1] * table[:, step.to[number]]
        table = summed
    return table
