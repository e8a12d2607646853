"""The value of a case: the best fixed sequence of operations, tried in order until the trouble is gone.

    value = cost(r1) + sum over k > 1 of cost(rk) * P(not all gone after the first k - 1)
            + P(not all gone at the end) * worth,       cut where that is lowest.

The order is greedy by gain in the expected number of symptoms gone, per minute; neighbours are
then exchanged where that is cheaper. For one fault and independent remedies greedy is optimal
(J. Kadane and H. Simon, Optimal strategies for a class of constrained sequential problems, 1977);
for independent faults with perfect cures the exchange leads to the order by odds over cost.
Many contexts (what might be answered next) are valued together.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Final

import numpy as np

from engine.contexts import Context, Flags, Terms, terms_of
from engine.futures import Futures, Rows
from engine.sweep import Floats, Ints

LONGEST: Final = 8
"""Operations in one sequence at most."""
LEAST_GAIN: Final = 1e-9
LEAST_CHANCE: Final = 1e-7
"""Contexts less likely than this are valued as if one stopped there."""
LEAST_LEFT: Final = 0.01
"""Minutes still to be won below which a sequence is not prolonged."""


@dataclass(frozen=True, slots=True)
class Option:
    """One operation as a sequence may use it."""

    column: int
    """Its column in the changes of the futures."""
    cost: float
    times: int
    """How often it may still be done in this sitting."""
    blocked_by: int = 0
    """Options, as bits, that have to come before it."""
    shares: int = -1
    """Number of another option whose count it shares (the same operation, its conditions still open)."""


@dataclass(frozen=True)
class Target:
    """The symptoms to be rid of, as bits over the watched findings, and what that is worth."""

    symptoms: tuple[int, ...]
    """Numbers of watched findings."""
    worth: float
    all_bits: int = field(init=False)

    def __post_init__(self) -> None:
        """Join the symptoms' bits."""
        object.__setattr__(self, "all_bits", sum(1 << number for number in self.symptoms))


@dataclass(frozen=True, slots=True)
class Valued:
    """What contexts are worth, one number each."""

    chance: Floats
    """Of the context, given the case."""
    value: Floats
    """Expected minutes from there on, by the best sequence found."""
    stop: Floats
    """Expected minutes when stopping there."""
    orders: tuple[tuple[int, ...], ...]
    """The options of each sequence, in order."""


@dataclass(frozen=True, slots=True)
class _Choice:
    """The option that each context's sequence goes on with."""

    option: Ints
    not_gone: Floats
    """(contexts, options): chance that some symptom is left after each option."""
    cost: Floats
    before: Floats
    """Chance that the sequence gets as far as this option; 1 for the first, which counts in full."""


@dataclass(frozen=True, slots=True)
class _Beginnings:
    """Beginnings of orders, each in its context; the empty one of each context comes before its others."""

    context: Ints
    before: Ints
    """The place of the beginning that is one option shorter."""
    option: Ints
    """The last option; -1 where there is none."""
    depth: Ints


def _shape_of(orders: Iterable[tuple[int, ...]]) -> Ints:
    """Give all that `orders` begin with, as columns (place of the one before, last option, depth)."""
    rows = [(0, -1, 0)]
    known: dict[tuple[int, ...], int] = {(): 0}
    for order in orders:
        for depth, option in enumerate(order, 1):
            if order[:depth] not in known:
                known[order[:depth]] = len(rows)
                rows.append((known[order[: depth - 1]], option, depth))
    return np.array(rows, dtype=np.int64).T


@dataclass(frozen=True, slots=True)
class _Run:
    """How far each context's sequence has got."""

    best: Floats
    expected: Floats
    """Expected number of symptoms gone."""
    spent: Floats
    before: Floats
    saved: Floats
    """By exchanging two neighbours, the best such exchange."""

    def after(self, choice: _Choice, expected: Floats, saved: Floats, alive: Flags, worth: float) -> "_Run":
        """Give the run one option further, where it is `alive`."""
        left = choice.not_gone[np.arange(len(alive)), choice.option]
        spent = self.spent + choice.cost * self.before
        most = np.maximum(self.saved, saved)
        return _Run(
            np.where(alive, np.minimum(self.best, spent + left * worth - most), self.best),
            np.where(alive, expected, self.expected),
            np.where(alive, spent, self.spent),
            np.where(alive, left, self.before),
            most,
        )


class Sequences:
    """Values contexts of one case."""

    def __init__(self, futures: Futures, options: Sequence[Option], target: Target) -> None:
        self._futures = futures
        self._options = tuple(options)
        self._target = target
        self._columns = np.array([option.column for option in options], dtype=np.int64)
        self._cost = np.array([option.cost for option in options])
        self._blocked = np.array([option.blocked_by for option in options], dtype=np.int64)
        self._aims = [
            target.all_bits,
            *([1 << number for number in target.symptoms] if len(target.symptoms) > 1 else []),
        ]

    def value(self, contexts: Sequence[Context]) -> Valued:
        """Value all `contexts`."""
        terms = terms_of(contexts, self._target.all_bits)
        chance = self._sum(terms, self._futures.chances(Rows(terms.operations, terms.clear)), len(contexts))
        safe = np.maximum(chance, 1e-300)
        gone = self._gone(terms, None, len(contexts)) / safe[:, None]
        stop = np.clip(1.0 - gone[:, 0], 0.0, 1.0) * self._target.worth
        nothing = np.zeros(len(contexts))
        run = _Run(stop, self._expected(gone), nothing, nothing + 1.0, nothing)
        search = _Search(contexts, self._options)
        alive = chance > LEAST_CHANCE
        orders: list[tuple[int, ...]] = [()] * len(contexts)
        last: _Choice | None = None
        for _ in range(LONGEST):
            usable = search.usable(self._blocked) & alive[:, None]
            if not usable.any():
                break
            after = self._gone(terms, usable, len(contexts)) / safe[:, None, None]
            expected = self._expected(after)
            gain = np.where(usable, expected - run.expected[:, None], -np.inf)
            chosen = np.argmax(gain / self._cost, axis=1)
            here = np.arange(len(contexts))
            alive = alive & (gain[here, chosen] > LEAST_GAIN)
            not_gone = np.clip(1.0 - after[..., 0], 0.0, 1.0)
            choice = _Choice(chosen, not_gone, self._cost[chosen], run.before)
            saved = np.zeros(len(contexts)) if last is None else self._exchange(last, choice, alive)
            run = run.after(choice, expected[here, chosen], saved, alive, self._target.worth)
            search.take(chosen, alive)
            terms = terms.extended(self._columns[chosen], alive)
            for number in np.flatnonzero(alive):
                orders[number] = (*orders[number], int(chosen[number]))
            # Past the best cut in minutes, or with next to nothing left to win, going on cannot pay.
            alive = alive & (run.spent < run.best) & (run.before * self._target.worth > LEAST_LEFT)
            last = choice
        return Valued(chance, run.best, stop, tuple(orders))

    def follow_best(self, contexts: Sequence[Context], pool: Sequence[Sequence[int]]) -> Floats:
        """Give for each context its chance times its value by the best order of `pool`, or by stopping.

        Much cheaper than `value`: nothing is searched. Options that a context does not allow are
        passed over. An order may be cut anywhere, and what orders begin with is weighed once.
        """
        terms = terms_of(contexts, self._target.all_bits)
        reached = self._sum(terms, self._futures.chances(Rows(terms.operations, terms.clear)), len(contexts))
        begun = self._beginnings(contexts, pool, reached > LEAST_CHANCE)
        all_of = reached[begun.context]
        gone = self._gone_after(terms, begun, len(contexts))
        left = np.clip(all_of - gone, 0.0, all_of)
        spent = np.zeros(len(left))
        for depth in range(1, begun.depth.max(initial=0) + 1):
            here = np.flatnonzero(begun.depth == depth)
            before = begun.before[here]
            # The first cost counts in full, though the trouble may be gone already.
            doubt = left[before] if depth > 1 else all_of[here]
            spent[here] = spent[before] + self._cost[begun.option[here]] * doubt
        best = np.full(len(contexts), np.inf)
        np.minimum.at(best, begun.context, spent + left * self._target.worth)
        return best

    def _beginnings(
        self, contexts: Sequence[Context], pool: Sequence[Sequence[int]], likely: Flags
    ) -> "_Beginnings":
        """Give everything that the orders of `pool` begin with, as each context allows them."""
        shapes: dict[tuple[int, int, tuple[int, ...]], Ints] = {}
        parts, size = [], 0
        for number, context in enumerate(contexts):
            key = (context.allowed, context.done, context.failed) if likely[number] else (0, 0, ())
            if key not in shapes:
                shapes[key] = _shape_of(dict.fromkeys(self._fitting(context, order) for order in pool))
            shape = shapes[key]
            parts.append(np.vstack([np.full(shape.shape[1], number), shape[:1] + size, shape[1:]]))
            size += shape.shape[1]
        return _Beginnings(*np.hstack(parts))

    def _gone_after(self, terms: Terms, begun: "_Beginnings", contexts: int) -> Floats:
        """Give the joint chance of each beginning's context and of all symptoms gone after it."""
        longest = int(begun.depth.max(initial=0))
        done = np.zeros((len(begun.depth), longest), dtype=np.int64)
        for depth in range(1, longest + 1):
            here = np.flatnonzero(begun.depth == depth)
            done[here] = done[begun.before[here]]
            done[here, depth - 1] = self._columns[begun.option[here]]
        # Every beginning with every term of its context: terms come context by context.
        count = np.bincount(terms.context, minlength=contexts)
        first = np.concatenate([[0], np.cumsum(count)[:-1]])
        times = count[begun.context]
        which = np.repeat(np.arange(len(times)), times)
        within = np.arange(len(which)) - np.repeat(np.cumsum(times) - times, times)
        term = first[begun.context][which] + within
        nothing = np.zeros((len(which), longest), dtype=np.int64)
        clear = np.hstack([terms.clear[term], nothing])
        clear[np.arange(len(which)), terms.operations.shape[1] + begun.depth[which]] |= self._target.all_bits
        chances = self._futures.chances(Rows(np.hstack([terms.operations[term], done[which]]), clear))
        found = np.bincount(which, chances * terms.sign[term], len(times))
        return found.astype(np.float64, copy=False)

    def _fitting(self, context: Context, order: Sequence[int]) -> tuple[int, ...]:
        """Give the order as this context allows it; what stands in, or was stood in for, is exchanged."""
        done, plan = context.done, list[int]()
        for wanted in order:
            real = wanted if self._options[wanted].shares < 0 else self._options[wanted].shares
            twins = (real, *(n for n, option in enumerate(self._options) if option.shares == real))
            option = next((twin for twin in twins if context.allowed >> twin & 1), None)
            if option is None or self._options[option].blocked_by & ~done:
                continue
            used = plan.count(option) + context.failed.count(self._options[option].column)
            if used < self._options[option].times:
                plan.append(option)
                done |= 1 << real
        return tuple(plan)

    def _expected(self, gone: Floats) -> Floats:
        return gone[..., 0] if gone.shape[-1] == 1 else np.asarray(gone[..., 1:].sum(axis=-1))

    def _exchange(self, last: "_Choice", choice: "_Choice", alive: Flags) -> Floats:
        """Give what exchanging the last two operations would save, 0 where it would not."""
        here = np.arange(len(alive))
        may = alive & ((self._blocked[choice.option] >> last.option) & 1 == 0)
        as_is = last.cost * last.before + choice.cost * choice.before
        exchanged = choice.cost * last.before + last.cost * last.not_gone[here, choice.option]
        return np.where(may, np.maximum(as_is - exchanged, 0.0), 0.0)

    def _gone(self, terms: Terms, usable: Flags | None, contexts: int) -> Floats:
        """Give the joint chance of each context and each aim gone, now or after each usable option."""
        if usable is None:
            rows = [Rows(terms.operations, terms.with_last(aim)) for aim in self._aims]
            return np.stack([self._sum(terms, self._futures.chances(one), contexts) for one in rows], axis=-1)
        term, option = np.nonzero(usable[terms.context])
        operations = np.hstack([terms.operations[term], self._columns[option][:, None]])
        cell = terms.context[term] * len(self._options) + option
        clear = np.hstack(
            [np.tile(terms.clear[term], (len(self._aims), 1)), np.repeat(self._aims, len(term))[:, None]]
        )
        chances = self._futures.chances(Rows(np.tile(operations, (len(self._aims), 1)), clear))
        found = [
            np.bincount(cell, one * terms.sign[term], contexts * len(self._options)).astype(np.float64)
            for one in np.split(chances, len(self._aims))
        ]
        return np.stack(found, axis=-1).reshape(contexts, len(self._options), -1)

    @staticmethod
    def _sum(terms: Terms, chances: Floats, contexts: int) -> Floats:
        return np.bincount(terms.context, chances * terms.sign, contexts).astype(np.float64, copy=False)


class _Search:
    """Which options each context may still use."""

    def __init__(self, contexts: Sequence[Context], options: Sequence[Option]) -> None:
        self._done = np.array([context.done for context in contexts], dtype=np.int64)
        allowed = np.array([context.allowed for context in contexts], dtype=np.int64)
        self._allowed = (allowed[:, None] >> np.arange(len(options))[None, :]) & 1 == 1
        self._left = np.tile(np.array([option.times for option in options]), (len(contexts), 1))
        self._shares = np.array(
            [number if option.shares < 0 else option.shares for number, option in enumerate(options)],
            dtype=np.int64,
        )
        for row, context in enumerate(contexts):
            for number, option in enumerate(options):
                self._left[row, number] -= sum(column == option.column for column in context.failed)

    def usable(self, blocked: Ints) -> Flags:
        """Give (contexts, options): whether an option may come next."""
        free = (blocked[None, :] & ~self._done[:, None]) == 0
        return np.asarray(self._allowed & free & (self._left > 0))

    def take(self, chosen: Ints, going_on: Flags) -> None:
        """Count the chosen options as done."""
        rows = np.flatnonzero(going_on)
        group = self._shares[chosen[rows]]
        same = self._shares[None, :] == group[:, None]
        self._left[rows] -= same
        for row, number in zip(rows, group, strict=True):
            self._done[row] |= 1 << int(number)
