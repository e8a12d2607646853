"""The engine's advice as a way of working, as the interview leads through it, remembered by case.

The opening routine, the overview questions, then the engine's step. What follows from the rules
alone after a gap (rechecks, then the symptoms being worked on) is answered without weighing: that
is half of all cards, and the same as `engine.advice` says (a test holds the two together).
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Final

from engine.advice import advise
from engine.case import Case
from engine.findings import latest_told, was_asked_in
from engine.playing import End, Look, Move, Operate, Overview, Position
from engine.standing import counts_now
from engine.step import ANY_REST, Advice, Kind
from kb.ids import FindingId, PriorityId, RemedyId
from kb.model import Ending, Finding, Ruleset

MOST_REMEMBERED: Final = 200_000
"""Positions whose move is kept; more are worked out anew."""


@dataclass(slots=True)
class Remembered:
    """Moves by position, so that a case is weighed once however many reeds come by it."""

    moves: dict[tuple[object, ...], Move] = field(default_factory=dict)

    def put(self, key: tuple[object, ...], move: Move) -> Move:
        """Keep a move, if there is room."""
        if len(self.moves) < MOST_REMEMBERED:
            self.moves[key] = move
        return move


def step_only(ruleset: Ruleset, case: Case) -> Advice:
    """Weigh no more than the step needs: what stands behind a look that comes first is left out."""
    return advise(ruleset, case, in_full=False)


@dataclass(frozen=True)
class Advised:
    """Do what the engine says."""

    ruleset: Ruleset
    name: str = "engine"
    memory: Remembered = field(default_factory=Remembered)
    advising: Callable[[Ruleset, Case], Advice] = step_only
    """Who weighs; `engine.differing` hands in one that remembers what it said."""

    def move(self, position: Position) -> Move:
        """Give the next move."""
        first = opening_question(self.ruleset, position.case) or look_again(self.ruleset, position.case)
        if first is not None:
            return Look(first)
        key = position.key()
        return self.memory.moves.get(key) or self.memory.put(key, self._weighed(position))

    def _weighed(self, position: Position) -> Move:
        advice = self.advising(self.ruleset, position.case)
        step = advice.step
        if step is None:  # a drawn reed's answers are always possible
            return End(None)
        if advice.opens and advice.priority is not None:
            overview = overview_of(self.ruleset, position, advice.priority)
            if overview is not None:
                return overview
        match step.kind:
            case Kind.ASK:
                return Look(FindingId(step.id))
            case Kind.STOP:
                return End(Ending(step.id))
            case Kind.DO | Kind.REST:
                return Operate(None if step.id == ANY_REST else RemedyId(step.id))


def opening_question(ruleset: Ruleset, case: Case) -> FindingId | None:
    """Give the next question of the opening routine of this sitting."""
    for finding in ruleset.opening:
        asked = any(was_asked_in(ruleset, one, finding) for one in case.in_sitting())
        if counts_now(ruleset.finding[finding], case) and not asked:
            return finding
    return None


def look_again(ruleset: Ruleset, case: Case) -> FindingId | None:
    """Give what the rules alone say to look at after the last gap: its rechecks, then what is worked on."""
    gap = case.rounds[-2].gap if len(case.rounds) > 1 else None
    if gap is None:
        return None
    rechecks = () if gap.operation is None else ruleset.operation[gap.operation].recheck
    stale = stale_symptoms(ruleset, case)
    return next((finding for finding in (*rechecks, *stale) if may_ask(ruleset, case, finding)), None)


def stale_symptoms(ruleset: Ruleset, case: Case) -> tuple[FindingId, ...]:
    """Give the present symptoms of the first priority that has any, answered before the last gap, by id."""
    for priority in ruleset.priorities:
        present = present_symptoms(ruleset, case, priority.id)
        if present:
            told = sorted((one.id, latest_told(ruleset, case, one.id)) for one in present)
            now = len(case.rounds) - 1
            return tuple(finding for finding, latest in told if latest is not None and latest[0] < now)
    return ()


def present_symptoms(ruleset: Ruleset, case: Case, priority: PriorityId) -> tuple[Finding, ...]:
    """Give the symptoms of a priority whose latest answer is yes or slightly, in the file's order."""
    return tuple(
        finding
        for finding in ruleset.of_priority(priority)
        if counts_now(finding, case)
        and (told := latest_told(ruleset, case, finding.id)) is not None
        and told[1].is_present
    )


def may_ask(ruleset: Ruleset, case: Case, finding: FindingId) -> bool:
    """Whether a finding counts at this sitting and was not asked in this round."""
    return counts_now(ruleset.finding[finding], case) and not was_asked_in(ruleset, case.present, finding)


def overview_of(ruleset: Ruleset, position: Position, priority: PriorityId) -> Overview | None:
    """Give a priority's overview question, unless it has none or was asked in this round."""
    if not ruleset.priority[priority].ask or priority in position.overviewed:
        return None
    unasked = tuple(
        finding.id for finding in ruleset.of_priority(priority) if may_ask(ruleset, position.case, finding.id)
    )
    return Overview(priority, unasked)
