"""Playing a way of working on a virtual reed, to its end, and what that took.

A policy sees what a maker sees: the case, and which overview questions were asked in this round.
It says its next move; the reed answers or changes; and so on until it ends.
"""

from dataclasses import dataclass, replace
from typing import Final, Protocol

from engine.case import Case
from engine.refusal import TooWideError
from engine.standing import spent_in_sitting
from engine.virtual import Source, VirtualReed, troubles
from kb.ids import CauseId, FindingId, PriorityId, RemedyId
from kb.model import Answer, Ending, Ruleset, Undo

MOST_MOVES: Final = 400
MOST_ROUNDS: Final = 40
"""Moves, and rounds, after which a reed is left open: no maker goes on for ever."""


@dataclass(frozen=True, slots=True)
class Look:
    """Ask one finding."""

    finding: FindingId


@dataclass(frozen=True, slots=True)
class Overview:
    """Ask whether all is well with a priority. If not, the first of `symptoms` that shows is named."""

    priority: PriorityId
    symptoms: tuple[FindingId, ...]


@dataclass(frozen=True, slots=True)
class Operate:
    """Do a remedy or a rest; None is a night in which nothing is done."""

    operation: RemedyId | None


@dataclass(frozen=True, slots=True)
class End:
    """Stop. None: the way of working simply ends, and says nothing about the reed."""

    ending: Ending | None


Move = Look | Overview | Operate | End
START: Final = Case()
"""Nothing known yet."""


@dataclass(frozen=True, slots=True)
class Position:
    """What a maker has before them."""

    case: Case = START
    overviewed: frozenset[PriorityId] = frozenset()
    """Priorities whose overview question was asked in this round."""
    moves: int = 0

    def key(self) -> tuple[object, ...]:
        """Give what a decision can depend on: the order of answers within a round is not part of it."""
        rounds = tuple(
            (frozenset(one.answers), one.sitting, one.gap, one.from_overview) for one in self.case.rounds
        )
        return rounds, self.overviewed


BEGUN: Final = Position()


class Policy(Protocol):
    """A way of working."""

    @property
    def name(self) -> str:
        """What it is called in results."""

    def move(self, position: Position) -> Move:
        """Give the next move."""


@dataclass(frozen=True, slots=True)
class Played:
    """What one way of working made of one reed."""

    hidden: tuple[CauseId, ...]
    """The causes present at the start."""
    minutes: float
    """Of looking, working and resting; a rest that opens a sitting counts what the ruleset says it costs."""
    questions: int
    """Findings and overviews asked."""
    cut_at: tuple[float, ...]
    """For each operation that cannot be undone the minutes that had been spent when it was done."""
    forbidden_cuts: int
    """Of the cuts, those done while, in truth, something showed that forbids them (`unless`), seen or not."""
    sittings: int
    ending: Ending | None
    """None when it was left open."""
    is_ruined: bool
    """Whether an operation that cannot be undone brought a cause that nothing mends, or it was set aside."""
    is_sound: bool
    """Whether, in truth, nothing that counts showed at the end."""

    @property
    def cuts(self) -> int:
        """How many operations that cannot be undone were done."""
        return len(self.cut_at)


@dataclass(frozen=True, slots=True)
class Living:
    """A reed being worked on."""

    ruleset: Ruleset
    reed: VirtualReed
    position: Position = BEGUN
    questions: int = 0
    harmed: bool = False
    """Whether an operation that cannot be undone brought a cause that nothing mends."""
    forbidden_cuts: int = 0

    @property
    def may_go_on(self) -> bool:
        """Whether neither moves nor rounds have run out."""
        return self.position.moves < MOST_MOVES and len(self.position.case.rounds) <= MOST_ROUNDS

    def looked(self, finding: FindingId) -> "Living":
        """Give what a look leads to, for which no chance is needed."""
        case = self.position.case.with_answer(finding, self.reed.answer(finding))
        position = replace(self.position, case=case, moves=self.position.moves + 1)
        return replace(self, position=position, questions=self.questions + 1)

    def after(self, move: Look | Overview | Operate, source: Source) -> "Living":
        """Give what a move leads to."""
        position = replace(self.position, moves=self.position.moves + 1)
        match move:
            case Look(finding):
                return self.looked(finding)
            case Overview(priority, symptoms):
                asked = replace(
                    position,
                    case=self._overviewed(symptoms),
                    overviewed=position.overviewed | {priority},
                )
                return replace(self, position=asked, questions=self.questions + 1)
            case Operate(operation):
                return self._operated(operation, source, position)

    def _overviewed(self, symptoms: tuple[FindingId, ...]) -> Case:
        case = self.position.case
        first = next((finding for finding in symptoms if self.reed.shows(finding)), None)
        if first is not None:
            return case.with_answer(first, Answer.YES)
        for finding in symptoms:
            case = case.with_answer(finding, Answer.NO, from_overview=True)
        return case

    def _operated(self, operation: RemedyId | None, source: Source, position: Position) -> "Living":
        entry = None if operation is None else self.ruleset.operation[operation]
        opens = entry is None or entry.new_sitting
        reed = self.reed.after(operation, source, new_sitting=opens)
        harmed, forbidden = self.harmed, self.forbidden_cuts
        if entry is not None and entry.undo is Undo.NEVER and not entry.is_rest:
            came = {reed.network.causes[number] for number in reed.causes - self.reed.causes}
            brought = came & {effect.cause for effect in entry.provokes}
            forbidden += any(self.reed.shows(finding) for finding in entry.unless)
            harmed = harmed or any(not is_mended(self.ruleset, cause) for cause in brought)
        case = position.case.with_gap(operation, new_sitting=opens)
        return replace(
            self,
            reed=reed,
            harmed=harmed,
            forbidden_cuts=forbidden,
            position=Position(case, frozenset(), position.moves),
        )

    def ended(self, hidden: tuple[CauseId, ...], ending: Ending | None) -> Played:
        """Sum up."""
        case = self.position.case
        minutes, cut_at = spent_in_all(self.ruleset, case)
        return Played(
            hidden=hidden,
            minutes=minutes,
            questions=self.questions,
            cut_at=cut_at,
            forbidden_cuts=self.forbidden_cuts,
            sittings=case.sitting,
            ending=ending,
            is_ruined=self.harmed or ending is Ending.SET_ASIDE,
            is_sound=not troubles(self.ruleset, self.reed, case.sitting),
        )


def is_mended(ruleset: Ruleset, cause: CauseId) -> bool:
    """Whether anything mends `cause`."""
    return any(effect.cause == cause for one in ruleset.operations for effect in one.cures)


def spent_in_all(ruleset: Ruleset, case: Case) -> tuple[float, tuple[float, ...]]:
    """Add up the minutes of all rounds, rests that open a sitting included; and say when each cut was done.

    What an overview question answered no costs, in its round, as much as the longest of it.
    """
    minutes, cut_at = 0.0, []
    for one in case.rounds:
        own = tuple(pair for pair in one.answers if pair[0] not in one.from_overview)
        spent = spent_in_sitting(ruleset, Case((replace(one, answers=own),)))
        minutes += spent.minutes
        minutes += max((ruleset.finding[finding].minutes for finding in one.from_overview), default=0.0)
        cut_at += [minutes] * spent.cuts
        if one.gap is not None and one.gap.operation is not None:
            operation = ruleset.operation[one.gap.operation]
            minutes += operation.minutes if operation.new_sitting else 0.0
    return minutes, tuple(cut_at)


def next_move(policy: Policy, position: Position) -> Move:
    """Give a policy's next move; an end without a verdict where the case is too wide to be weighed."""
    try:
        return policy.move(position)
    except TooWideError:
        return End(None)


def play(ruleset: Ruleset, policy: Policy, reed: VirtualReed, source: Source) -> Played:
    """Work on `reed` by `policy` to its end."""
    living = Living(ruleset, reed)
    while living.may_go_on:
        move = next_move(policy, living.position)
        if isinstance(move, End):
            return living.ended(reed.hidden, move.ending)
        living = living.after(move, source)
    return living.ended(reed.hidden, None)
