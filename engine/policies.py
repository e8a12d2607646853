"""Other ways of working, to hold the engine's advice against, on the same reeds.

All but the charts are one frame (`_Maker`): settle priorities in order; after every gap ask again
what is being worked on; when nothing is known to be wrong, ask the overview question; call a
priority clear by the ruleset's own rule; rest when it is enough for today. They differ in whether
they ask more, and in which remedy they take next:

- `likeliest`: the remedies of the likeliest cause of the first present symptom, cheapest first; no
  questions beyond the overview;
- `gain`: the remedy with the best exact gain per cost, anew in each round; no questions beyond the overview;
- `in-order`: remedies in the file's order, each tried once before any is tried again;
- `cheapest-question`: questions, cheapest first, until one cause is likelier than not by far.

The first two keep the opening routine, which every sitting begins with, and since they ask nothing more,
they do operations whose `unless` nobody has looked at. The rules forbid that, and the model does not
punish it. `-bare` skips the opening routine too; `-strict` has it and keeps to the rules, and so leaves
most cuts alone.
"""

from abc import abstractmethod
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import assert_never

import numpy as np

from engine.belief import Belief, belief_of
from engine.case import Case
from engine.cost import full_cost, plain_cost
from engine.findings import told_in
from engine.folding import Folded, fold_until_narrow, foreseen
from engine.following import (
    Remembered,
    may_ask,
    opening_question,
    overview_of,
    stale_symptoms,
)
from engine.futures import Changes, Futures, Rows
from engine.lookahead import Budget
from engine.outlook import Outlook
from engine.playing import End, Look, Move, Operate, Position
from engine.standing import Leave, Permit, Rank, permits, rank_of, spent_in_sitting
from engine.sweep import Floats
from kb.ids import CauseId, ChartStepId, FindingId, RemedyId
from kb.model import AskStep, Chart, DoStep, Ending, Finding, Remedy, Ruleset, StopStep

SURE = 0.60
"""A cause at least this likely needs no more questions (`cheapest-question`)."""
MOST_ROUNDS = 24
"""After that many rounds these ways of working give a reed up."""
TOGETHER = 6
"""Symptoms watched together: what a cause can show of them is told apart, which doubles with each."""
LEAST_SUSPECT = 0.01
"""A cause less likely than this is nobody's likeliest."""


@dataclass(frozen=True, slots=True)
class Sight:
    """A position in which trouble is present, with all that a way of working may want to know."""

    case: Case
    folded: Folded
    belief: Belief
    rank: Rank
    permits: dict[RemedyId, Permit]


@dataclass(frozen=True)
class _Maker:
    """The frame."""

    ruleset: Ruleset
    opening: bool = True
    """Whether the opening routine is asked."""
    strict: bool = False
    """Whether an operation waits until its `unless` were answered, as the rules ask of the engine."""
    memory: Remembered = field(default_factory=Remembered)

    def move(self, position: Position) -> Move:
        """Give the next move."""
        key = position.key()
        return self.memory.moves.get(key) or self.memory.put(key, self._move(position))

    def _move(self, position: Position) -> Move:
        case = position.case
        first = opening_question(self.ruleset, case) if self.opening else None
        stale = (one for one in stale_symptoms(self.ruleset, case) if may_ask(self.ruleset, case, one))
        first = first or next(stale, None)
        if first is not None:
            return Look(first)
        folded = fold_until_narrow(self.ruleset, case)
        active = self._active(case, folded)
        if active is None:
            return End(Ending.READY)
        if not active.present:
            overview = overview_of(self.ruleset, position, active.priority.id)
            return overview or Look(active.askable[0].id)
        if spent_in_sitting(self.ruleset, case).is_enough(self.ruleset):
            return self._rested(case)
        belief = belief_of(folded)
        leave = permits(self.ruleset, case, belief.chance, [one.id for one in active.present], None)
        move = None
        if len(case.rounds) < MOST_ROUNDS and self._tried(active, case) < active.priority.worth:
            move = self.choose(Sight(case, folded, belief, active, leave))
        return move or End(self._giving_up(active))

    @abstractmethod
    def choose(self, sight: Sight) -> Move | None:
        """Give the next question or operation; None gives up."""

    def _active(self, case: Case, folded: Folded) -> Rank | None:
        network = folded.ground.network

        def any_shows(findings: Sequence[Finding]) -> float:
            return Outlook(folded).any_shows(network.numbers(finding.id for finding in findings))

        for priority in self.ruleset.priorities:
            rank = rank_of(self.ruleset, case, priority, any_shows)
            if not rank.is_clear(self.ruleset.clear_below):
                return rank
        return None

    def _rested(self, case: Case) -> Operate:
        """Rest as the ruleset says, the cheapest way."""
        rests = [
            (rest.minutes, rest.id)
            for rest in self.ruleset.rests
            if rest.new_sitting and case.sitting >= rest.from_sitting
        ]
        return Operate(min(rests)[1] if rests else None)

    def _tried(self, active: Rank, case: Case) -> float:
        """Give what has been spent on operations since this priority's trouble was first seen."""
        spent = 0.0
        symptoms = [finding.id for finding in self.ruleset.of_priority(active.priority.id)]
        for one in reversed(case.rounds[:-1]):
            if not any(
                (told := told_in(self.ruleset, one, finding)) is not None and told.is_present
                for finding in symptoms
            ):
                break
            if one.gap is not None and one.gap.operation is not None:
                spent += plain_cost(self.ruleset, self.ruleset.operation[one.gap.operation])
        return spent

    def _giving_up(self, active: Rank) -> Ending:
        is_first = active.priority.id == self.ruleset.priorities[0].id
        return Ending.SET_ASIDE if is_first else Ending.ACCEPT

    def _suspects(self, symptoms: Sequence[Finding]) -> frozenset[CauseId]:
        ids = {finding.id for finding in symptoms}
        return frozenset(
            cause.id for cause in self.ruleset.causes if any(show.finding in ids for show in cause.shows)
        )

    def _free(self, sight: Sight, suspects: frozenset[CauseId]) -> list[Remedy]:
        """Give the operations that may mend a suspect and that no answer forbids."""
        return [
            one
            for one in self.ruleset.operations
            if self._may(sight.permits[one.id].leave)
            and any(effect.cause in suspects for effect in one.cures)
        ]

    def _may(self, leave: Leave) -> bool:
        return leave is Leave.FREE or (leave is Leave.PENDING and not self.strict)

    def _cheapest_for_the_likeliest(self, sight: Sight, allowed: Sequence[Remedy]) -> Operate | None:
        """Give the cheapest of `allowed` for the likeliest cause of the first present symptom."""
        suspects = self._suspects(sight.rank.present[:1])
        for cause, chance in sight.belief.causes:
            mending = [one for one in allowed if any(effect.cause == cause for effect in one.cures)]
            if cause in suspects and chance >= LEAST_SUSPECT and mending:
                believed = sight.belief.chance
                best = min(mending, key=lambda one: (full_cost(self.ruleset, one, believed), one.id))
                return Operate(best.id)
        return None


@dataclass(frozen=True)
class Likeliest(_Maker):
    """The remedies of the likeliest cause of the first present symptom, cheapest first."""

    name: str = "likeliest"

    def choose(self, sight: Sight) -> Move | None:
        """Take the cheapest that is still allowed."""
        suspects = self._suspects(sight.rank.present[:1])
        return self._cheapest_for_the_likeliest(sight, self._free(sight, suspects))


@dataclass(frozen=True)
class Gain(_Maker):
    """The remedy with the best exact gain per cost."""

    name: str = "gain"

    def choose(self, sight: Sight) -> Move | None:
        """Take the best; give up when even that is not worth its cost."""
        suspects = self._suspects(sight.rank.present)
        free = sorted(self._free(sight, suspects), key=lambda one: one.id)
        if not free:
            return None
        gains = _gains(sight, free)
        costs = [full_cost(self.ruleset, one, sight.belief.chance) for one in free]
        best = max(range(len(free)), key=lambda n: gains[n] / max(costs[n], 1e-9))
        worth = sight.rank.priority.worth / len(sight.rank.present)
        return Operate(free[best].id) if gains[best] * worth > costs[best] else None


def _gains(sight: Sight, operations: Sequence[Remedy]) -> list[float]:
    """Give for each operation by how much it lowers the expected number of present symptoms that show."""
    network = sight.folded.ground.network
    present = network.numbers(finding.id for finding in sight.rank.present)
    changes = Changes.of(network, operations)
    gains = np.zeros(len(operations))
    for first in range(0, len(present), TOGETHER):
        watched = present[first : first + TOGETHER]
        ground = foreseen(sight.folded, watched, Budget().width)
        futures = Futures(ground, watched, changes, frozenset(range(len(watched))))
        gains += _gone_by(futures, len(watched), len(operations))
    return [float(one) for one in gains]


def _gone_by(futures: Futures, watched: int, operations: int) -> Floats:
    """Give for each operation how many more of the watched findings are expected gone by it."""
    bits = np.array([1 << number for number in range(watched)], dtype=np.int64)
    columns = np.repeat(np.arange(1 + operations, dtype=np.int64), watched)
    clear = np.stack([np.zeros(len(columns), dtype=np.int64), np.tile(bits, 1 + operations)], axis=1)
    gone = futures.chances(Rows(columns[:, None], clear)).reshape(1 + operations, -1).sum(axis=1)
    return np.asarray(gone[1:] - gone[0])


@dataclass(frozen=True)
class InOrder(_Maker):
    """Remedies in the file's order."""

    strict: bool = True
    name: str = "in-order"

    def choose(self, sight: Sight) -> Move | None:
        """Take the first of those that were done least often."""
        done = [one.gap.operation for one in sight.case.rounds if one.gap is not None]
        allowed = self._free(sight, self._suspects(sight.rank.present))
        allowed = [one for one in allowed if not one.new_sitting] or allowed
        return Operate(min(allowed, key=lambda one: done.count(one.id)).id) if allowed else None


@dataclass(frozen=True)
class CheapestQuestion(_Maker):
    """Questions, cheapest first, until the cause is all but known; then its cheapest remedy."""

    name: str = "cheapest-question"

    def choose(self, sight: Sight) -> Move | None:
        """Ask, or do."""
        suspects = self._suspects(sight.rank.present)
        if max((sight.belief.chance(cause) for cause in suspects), default=0.0) < SURE:
            asked = sorted(
                (self.ruleset.finding[show.finding].minutes, show.finding)
                for cause in self.ruleset.causes
                if cause.id in suspects and sight.belief.chance(cause.id) >= LEAST_SUSPECT
                for show in cause.shows
                if may_ask(self.ruleset, sight.case, show.finding)
            )
            if asked:
                return Look(asked[0][1])
        pending = self._pending(sight, suspects)
        if pending is not None:
            return Look(pending)
        leave = sight.permits
        free = [one for one in self._free(sight, suspects) if leave[one.id].leave is Leave.FREE]
        return self._cheapest_for_the_likeliest(sight, free)

    def _pending(self, sight: Sight, suspects: frozenset[CauseId]) -> FindingId | None:
        """Give what the cheapest remedy of the likeliest cause still waits for."""
        chosen = self._cheapest_for_the_likeliest(sight, self._free(sight, suspects))
        if chosen is None or chosen.operation is None:
            return None
        return next(iter(sight.permits[chosen.operation].pending), None)


@dataclass(frozen=True)
class Charted:
    """A teacher's chart, walked once."""

    ruleset: Ruleset
    chart: Chart

    @property
    def name(self) -> str:
        """Give the chart's name in results."""
        return f"chart:{self.chart.id}"

    def move(self, position: Position) -> Move:
        """Give what the step of the chart says that is next."""
        step = self.step(position)
        match step:
            case None:
                return End(None)
            case StopStep():
                return End(step.ending)
            case DoStep():
                return Operate(step.remedy)
            case AskStep():
                return Look(step.finding)
        assert_never(step)

    def step(self, position: Position) -> AskStep | DoStep | StopStep | None:
        """Walk again from the start by what the case says: the chart keeps no other memory.

        None where the chart simply ends.
        """
        steps = {step.id: step for step in self.chart.steps}
        rounds = iter(position.case.rounds)
        now = next(rounds)
        at = steps[self.chart.start]
        # A question met twice in one round would go round for ever without a move: hence the bound.
        for _ in range(position.moves + 1):
            onward: ChartStepId | None
            match at:
                case StopStep():
                    return at
                case DoStep(_, _, onward):
                    if now.gap is None:
                        return at
                    now = next(rounds)
                case AskStep(_, finding, yes, no):
                    answer = now.answer(finding)
                    if answer is None:
                        return at
                    onward = yes if answer.is_present else no
                case _:
                    assert_never(at)
            if onward is None:
                return None
            at = steps[onward]
        return None
