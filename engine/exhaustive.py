"""The best that anyone could do, by trying everything: for small problems only, within a stated budget.

The problem is the one that advice solves when some symptoms are present, and no other: be rid of them.
Whoever works may ask what was not asked in this round, do what the rules allow and what may mend a cause
of theirs, or give up for the worth of the priority. After each operation these symptoms are answered, at
no further cost. Reasons that the ruleset does not list stay as they are, so that nobody is credited with
luck; what an operation may provoke is priced and not pursued. The least cost and the cost of following
the advice are counted in this same world.

A bound (what somebody would pay who saw inside the reed) spares most of the search and loses nothing.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import product
from typing import Final

import numpy as np

from engine.ahead import Ahead, CaseKey, key_of, scope_of
from engine.case import Case
from engine.cost import plain_cost, price_of
from engine.findings import was_asked_in
from engine.following import may_ask, present_symptoms
from engine.standing import Leave, permits, priority_order
from engine.step import ANY_REST, Kind
from engine.sweep import Floats
from engine.worlds import Flags, Worlds
from kb.ids import CauseId, FindingId, RemedyId
from kb.model import Answer, Finding, Remedy

MOST_CASES: Final = 20_000
MOST_OPERATIONS: Final = 16
"""On one way."""
MOST_SYMPTOMS: Final = 4
LEAST: Final = 1e-12
SAME: Final = 13
"""Digits after the point in which two beliefs agree that are the same."""
FAR_ENOUGH: Final = 40
"""Operations that the bound looks ahead."""


@dataclass(frozen=True, slots=True)
class Searched:
    """What the search found."""

    least: float
    """Expected minutes, as advice weighs them, of the best that anyone could do."""
    advised: float
    """Expected minutes of following the advice."""
    cases: int
    """Cases that were looked at."""

    @property
    def gap(self) -> float:
        """How far the advice is above the least, as a share of it."""
        return self.advised / self.least - 1.0 if self.least > 0.0 else 0.0


@dataclass(frozen=True, slots=True)
class NotSearched:
    """Why nothing was searched, as the end of a sentence."""

    why: str


class _GivenUpError(Exception):
    """The search went past its budget, or met something that is no part of the problem."""


def search(ahead: Ahead, case: Case) -> Searched | NotSearched:
    """Find the least expected cost from `case`, and that of following the advice."""
    ruleset, worlds = ahead.ruleset, Worlds(ahead.ruleset)
    if not ruleset.priorities:
        return NotSearched("there is no priority")
    priority = ruleset.priorities[scope_of(ruleset, case) - 1]
    symptoms = present_symptoms(ruleset, case, priority.id)
    if not symptoms:
        return NotSearched("nothing is known to be wrong")
    if len(symptoms) > MOST_SYMPTOMS or not worlds.is_small:
        bits = len(worlds.network.causes) + len(worlds.uncertain)
        return NotSearched(f"it is too large: {bits} causes, uncertain links and leaks")
    problem = _Problem(ahead, worlds, symptoms, priority.worth)
    start = _At(case, worlds.believed(case), 0)
    try:
        least, advised = _Search(problem), _Following(problem)
        return Searched(least.value(start), advised.value(start), len(least.known) + len(advised.known))
    except _GivenUpError as given_up:
        return NotSearched(str(given_up))


@dataclass(frozen=True, slots=True)
class _At:
    case: Case
    table: Floats
    """Adds up to 1."""
    operations: int
    """Done so far."""


@dataclass(frozen=True)
class _Problem:
    ahead: Ahead
    worlds: Worlds
    symptoms: tuple[Finding, ...]
    worth: float

    @cached_property
    def gone(self) -> Flags:
        """Where none of the symptoms shows."""
        shows = [self.worlds.shows[one.id] for one in self.symptoms]
        return np.asarray(~np.logical_or.reduce(shows))

    @cached_property
    def mending(self) -> tuple[Remedy, ...]:
        """The operations that may mend a cause of the symptoms."""
        active = {one.id for one in self.symptoms}
        suspects = {
            cause.id
            for cause in self.worlds.ruleset.causes
            if any(show.finding in active for show in cause.shows)
        }
        return tuple(
            one
            for one in self.worlds.ruleset.operations
            if any(effect.cause in suspects for effect in one.cures)
        )

    @cached_property
    def awaited(self) -> frozenset[FindingId]:
        """What some operation waits for, and so may be worth asking though the answer is sure."""
        return frozenset(finding for one in self.mending for finding in one.unless)

    @cached_property
    def _costs(self) -> dict[RemedyId, Floats]:
        return {one.id: self._cost_by_causes(one) for one in self.worlds.ruleset.operations}

    def _cost_by_causes(self, one: Remedy) -> Floats:
        ruleset = self.worlds.ruleset
        cost = np.full(len(self.gone), plain_cost(ruleset, one))
        for effect in one.provokes:
            price = effect.chance * price_of(ruleset, ruleset.cause[effect.cause])
            cost += np.where(self.worlds.present(effect.cause), 0.0, price)
        return cost

    @cached_property
    def seen_through(self) -> Floats:
        """What somebody would pay who knew each world and was held back by no rule."""
        moves = [(self._costs[one.id], self._move(one)) for one in self.mending]
        value = np.zeros(self.gone.shape)
        for _ in range(FAR_ENOUGH):
            best = np.full(self.gone.shape, self.worth)
            for cost, move in moves:
                best = np.minimum(best, cost[:, None] + move.T @ value)
            value = np.where(self.gone, 0.0, best)
        return value

    def _move(self, one: Remedy) -> Floats:
        """Give the chances from each set of causes (column) to each (row)."""
        return self.worlds.moved(np.eye(len(self.gone)), one.id, new_sitting=one.new_sitting)

    def cost(self, at: _At, one: Remedy) -> float:
        """Give what doing an operation costs here."""
        return float(self._costs[one.id] @ at.table.sum(axis=1))

    def bound(self, at: _At) -> float:
        """Give what nobody can stay below from here."""
        return float((at.table * self.seen_through).sum())

    def allowed(self, at: _At) -> Iterator[Remedy]:
        """Give what may be done here."""
        rows = at.table.sum(axis=1)

        def believed(cause: CauseId) -> float:
            return float(rows[self.worlds.present(cause)].sum())

        active = [one.id for one in self.symptoms if self.is_present(at, one)]
        leave = permits(self.worlds.ruleset, at.case, believed, active, None)
        for one in self.mending:
            permit = leave[one.id]
            if permit.leave is Leave.FREE and not permit.blocked_by:
                yield one

    def is_present(self, at: _At, symptom: Finding) -> bool:
        """Whether a symptom was there when last told."""
        latest = at.case.latest_answer(symptom.id)
        return latest is None or latest[1].is_present

    def askable(self, at: _At) -> Iterator[Finding]:
        """Give what may be asked here, but for other symptoms of this priority or an earlier one."""
        for finding in self.worlds.ruleset.findings:
            if self.is_aside(finding) and may_ask(self.worlds.ruleset, at.case, finding.id):
                yield finding

    def is_aside(self, finding: Finding) -> bool:
        """Whether an answer about a finding leaves the problem as it is."""
        if finding.priority is None:
            return True
        order = priority_order(self.worlds.ruleset)
        here = self.symptoms[0].priority
        return here is not None and order[finding.priority] > order[here]

    def asked(self, at: _At, finding: FindingId) -> Iterator[tuple[float, _At]]:
        """Give both answers with their chances."""
        shows = self.worlds.shows[finding]
        for answer, cells in ((Answer.YES, shows), (Answer.NO, ~shows)):
            table = at.table * cells
            chance = float(table.sum())
            if chance > LEAST:
                yield chance, _At(at.case.with_answer(finding, answer), table / chance, at.operations)

    def done(self, at: _At, one: Remedy) -> Iterator[tuple[float, _At | None]]:
        """Give what follows an operation, the symptoms being answered; None: all are gone."""
        if at.operations >= MOST_OPERATIONS:
            raise _GivenUpError(f"it goes past {MOST_OPERATIONS} operations on one way")
        moved = self.worlds.moved(at.table, one.id, new_sitting=one.new_sitting)
        opened = at.case.with_gap(one.id, new_sitting=one.new_sitting)
        for answers in product((Answer.YES, Answer.NO), repeat=len(self.symptoms)):
            table, case = moved, opened
            for symptom, answer in zip(self.symptoms, answers, strict=True):
                shows = self.worlds.shows[symptom.id]
                table = table * (shows if answer is Answer.YES else ~shows)
                case = case.with_answer(symptom.id, answer)
            chance = float(table.sum())
            if chance > LEAST:
                then = _At(case, table / chance, at.operations + 1)
                yield chance, then if Answer.YES in answers else None


class _Search:
    """The least cost, over everything that may be asked and done."""

    def __init__(self, problem: _Problem) -> None:
        self._problem = problem
        self.known: dict[CaseKey, float] = {}

    def _key(self, at: _At) -> CaseKey:
        """Give all that the least cost can depend on: the belief, and what the rules look at."""
        case, problem = at.case, self._problem
        gaps = [(one.sitting, one.gap.operation) for one in case.rounds if one.gap is not None]
        told = frozenset((finding, case.latest_answer(finding)) for finding in problem.awaited)
        return (
            np.round(at.table, SAME).tobytes(),
            case.sitting,
            frozenset(Counter(operation for sitting, operation in gaps if sitting == case.sitting).items()),
            frozenset(operation for _, operation in gaps),
            frozenset((finding, answer[1]) for finding, answer in told if answer is not None),
            frozenset(
                finding
                for finding in problem.awaited
                if any(was_asked_in(problem.worlds.ruleset, one, finding) for one in case.in_sitting())
            ),
            frozenset(finding for finding, _ in case.present.answers),
            case.present.readings,
            case.present.sigmas,
            case.present.read_off,
            tuple(problem.is_present(at, one) for one in problem.symptoms),
        )

    def value(self, at: _At) -> float:
        """Give the least expected cost from here."""
        key = self._key(at)
        if key not in self.known:
            if len(self.known) >= MOST_CASES:
                raise _GivenUpError(f"it goes past {MOST_CASES:,} cases")
            self.known[key] = self._value(at)
        return self.known[key]

    def _value(self, at: _At) -> float:
        problem, best = self._problem, self._problem.worth
        bound = problem.bound(at)
        if bound >= best:
            return best
        for least, cost, one in self._promising(at):
            if least >= best - LEAST:
                break
            onward = (
                chance * (0.0 if then is None else self.value(then)) for chance, then in problem.done(at, one)
            )
            best = min(best, cost + sum(onward))
        for finding in problem.askable(at):
            if finding.minutes + bound < best - LEAST:
                asked = list(problem.asked(at, finding.id))
                if len(asked) > 1 or finding.id in problem.awaited:
                    best = min(
                        best, finding.minutes + sum(chance * self.value(then) for chance, then in asked)
                    )
        return best

    def _promising(self, at: _At) -> list[tuple[float, float, Remedy]]:
        """Give (what nobody stays below, its cost, operation), the most promising first."""
        problem, found = self._problem, []
        for one in problem.allowed(at):
            cost = problem.cost(at, one)
            moved = problem.worlds.moved(at.table, one.id, new_sitting=one.new_sitting)
            found.append((cost + float((moved * problem.seen_through).sum()), cost, one))
        return sorted(found, key=lambda promise: (promise[0], promise[2].id))


class _Following:
    """The cost of following the advice."""

    def __init__(self, problem: _Problem) -> None:
        self._problem = problem
        self.known: dict[CaseKey, float] = {}

    def value(self, at: _At) -> float:
        """Give the expected cost from here."""
        key = key_of(at.case)
        if key not in self.known:
            if len(self.known) >= MOST_CASES:
                raise _GivenUpError(f"following the advice goes past {MOST_CASES:,} cases")
            self.known[key] = self._value(at)
        return self.known[key]

    def _value(self, at: _At) -> float:
        problem, ahead = self._problem, self._problem.ahead
        step = ahead.advice(at.case).step
        if step is None or step.id == ANY_REST:
            raise _GivenUpError("the advice leaves it until the next sitting")
        match step.kind:
            case Kind.STOP:
                return problem.worth
            case Kind.ASK:
                finding = problem.worlds.ruleset.finding[FindingId(step.id)]
                if not problem.is_aside(finding) or was_asked_in(ahead.ruleset, at.case.present, finding.id):
                    raise _GivenUpError("other symptoms of the same priority come into play")
                again = ahead.is_looked_at_again(at.case, finding.id)
                onward = (chance * self.value(then) for chance, then in problem.asked(at, finding.id))
                return (0.0 if again else finding.minutes) + sum(onward)
            case Kind.DO | Kind.REST:
                one = problem.worlds.ruleset.operation[RemedyId(step.id)]
                rest = sum(
                    chance * (0.0 if then is None else self.value(then))
                    for chance, then in problem.done(at, one)
                )
                return problem.cost(at, one) + rest
