"""Practice: a student works on a virtual reed, and then sees what the engine would have made of it.

practice = begin(ruleset, source)
practice = practice.looked(finding)          # the answer is in practice.taken[-1].answer
practice = practice.did(remedy, source)
found = review(practice.ended(Ending.READY), source_again)
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from engine.advice import advise
from engine.belief import Belief, believe
from engine.case import Case
from engine.findings import latest_told
from engine.following import Advised, may_ask
from engine.playing import End, Living, Look, Move, Operate, Played, next_move, spent_in_all
from engine.step import Kind
from engine.virtual import Source, VirtualReed, drawn_with_a_symptom, troubles
from kb.ids import CauseId, FindingId, RemedyId
from kb.model import Answer, Ending, Remedy, Ruleset, Undo

FULL_SCORE: Final = 100
TELLING: Final = 0.5
"""A look would have saved a cut if it lowers the chance of what the cut mends at least by this factor."""


@dataclass(frozen=True, slots=True)
class Taken:
    """One thing that the student did."""

    move: Look | Operate
    before: Living
    after: Living

    @property
    def answer(self) -> Answer | None:
        """What the reed answered to a look."""
        return (
            self.after.position.case.present.answer(self.move.finding)
            if isinstance(self.move, Look)
            else None
        )

    @property
    def minutes(self) -> float:
        """What it took."""
        ruleset = self.before.ruleset
        before, after = (spent_in_all(ruleset, one.position.case)[0] for one in (self.before, self.after))
        return after - before

    @property
    def mended(self) -> tuple[CauseId, ...]:
        """Causes that went."""
        return tuple(sorted(frozenset(self.before.reed.hidden) - frozenset(self.after.reed.hidden)))

    @property
    def brought(self) -> tuple[CauseId, ...]:
        """Causes that came."""
        return tuple(sorted(frozenset(self.after.reed.hidden) - frozenset(self.before.reed.hidden)))


@dataclass(frozen=True, slots=True)
class Practice:
    """A reed in a student's hands."""

    living: Living
    first: VirtualReed
    taken: tuple[Taken, ...] = ()
    ending: Ending | None = None

    @property
    def case(self) -> Case:
        """What the student knows."""
        return self.living.position.case

    @property
    def minutes(self) -> float:
        """What was spent so far."""
        return spent_in_all(self.living.ruleset, self.case)[0]

    def looked(self, finding: FindingId) -> "Practice":
        """Look, feel, measure, crow or play."""
        move = Look(finding)
        return self._with(move, self.living.looked(finding))

    def did(self, operation: RemedyId | None, source: Source) -> "Practice":
        """Do a remedy, or let it rest; None is a night in which nothing is done."""
        move = Operate(operation)
        return self._with(move, self.living.after(move, source))

    def ended(self, ending: Ending | None) -> "Practice":
        """Stop, with or without a verdict."""
        return replace(self, ending=ending)

    def _with(self, move: Look | Operate, after: Living) -> "Practice":
        return replace(self, living=after, taken=(*self.taken, Taken(move, self.living, after)))


@dataclass(frozen=True, slots=True)
class SavingLook:
    """A look that would have spoken against a cut that mended nothing."""

    finding: FindingId
    shows: bool
    """What it would have told."""
    forbids: bool
    """Whether the rules then forbid the cut; else it made what the cut mends unlikely."""
    before: float
    """Chance of the likeliest cause that the cut mends, without the look and with it."""
    after: float


@dataclass(frozen=True, slots=True)
class StepReview:
    """One operation of the student's, beside the engine's."""

    taken: Taken
    advised: tuple[Kind, str] | None
    """What the engine would have done there."""
    against: tuple[FindingId, ...]
    """Findings known to show that forbid it."""
    lost: float | None
    """Expected minutes that the engine's step saves over the student's; None where that was not weighed."""
    saving: SavingLook | None


@dataclass(frozen=True, slots=True)
class Review:
    """What the student made of the reed, and what the engine makes of the same reed with the same luck."""

    hidden: tuple[CauseId, ...]
    student: Played
    engine: Played
    engine_moves: tuple[Move, ...]
    steps: tuple[StepReview, ...]
    """Of the student's operations, in order."""
    student_cost: float
    """Minutes, stakes, and what is left undone."""
    engine_cost: float
    score: int
    """100 when it cost no more than the engine; the engine's cost as a share of the student's, else.
    Half of that for a verdict that is not true."""

    @property
    def is_mistaken(self) -> bool:
        """Whether the student called a reed ready that was not, and the engine did not."""
        return _is_false_ready(self.student) and not _is_false_ready(self.engine)


def begin(ruleset: Ruleset, source: Source) -> Practice | None:
    """Draw a reed with a symptom; None when by this ruleset no reed has any."""
    reed = drawn_with_a_symptom(ruleset, source)
    return None if reed is None else Practice(Living(ruleset, reed), reed)


def review(practice: Practice, source: Source) -> Review:
    """Judge. `source` is a new one from the same seed: the engine meets the same reed and the same luck."""
    ruleset, hidden = practice.living.ruleset, practice.first.hidden
    drawn = drawn_with_a_symptom(ruleset, source)
    assert drawn == practice.first, "the source is not the one that the reed was drawn from"  # noqa: S101 - ours
    living, moves, ending = _played_by_engine(Living(ruleset, practice.first), source)
    student = practice.living.ended(hidden, practice.ending)
    student_cost = _cost(practice.living, student)
    engine = living.ended(hidden, ending)
    engine_cost = _cost(living, engine)
    share = 1.0 if student_cost <= engine_cost else engine_cost / student_cost
    if _is_false_ready(student) and not _is_false_ready(engine):
        share /= 2  # giving up early may well be cheaper than mending; saying that it is done is not
    return Review(
        hidden=hidden,
        student=student,
        engine=engine,
        engine_moves=moves,
        steps=tuple(_reviewed(ruleset, one) for one in practice.taken if isinstance(one.move, Operate)),
        student_cost=student_cost,
        engine_cost=engine_cost,
        score=round(FULL_SCORE * share),
    )


def _played_by_engine(living: Living, source: Source) -> tuple[Living, tuple[Move, ...], Ending | None]:
    policy, moves = Advised(living.ruleset), list[Move]()
    while living.may_go_on:
        move = next_move(policy, living.position)
        moves.append(move)
        if isinstance(move, End):
            return living, tuple(moves), move.ending
        living = living.after(move, source)
    return living, tuple(moves), None


def _is_false_ready(end: Played) -> bool:
    return end.ending is Ending.READY and not end.is_sound


def _cost(living: Living, end: Played) -> float:
    """Add the stakes of what was done, and the worth of the first priority in which something still shows."""
    ruleset, case = living.ruleset, living.position.case
    done = (one.gap.operation for one in case.rounds if one.gap is not None)
    stakes = sum(ruleset.stakes.of(ruleset.operation[one].undo) for one in done if one is not None)
    left = troubles(ruleset, living.reed, case.sitting)
    worth = ruleset.priority[left[0].priority].worth if left and left[0].priority is not None else 0.0
    return end.minutes + stakes + worth


def _reviewed(ruleset: Ruleset, taken: Taken) -> StepReview:
    case = taken.before.position.case
    advice = advise(ruleset, case)
    advised, lost = None, None
    if advice.step is not None:
        advised = (advice.step.kind, advice.step.id)
    if isinstance(taken.move, Operate) and advice.ranked:
        costs = {one.id: one.cost for one in advice.ranked}
        best = min((cost for cost in costs.values() if cost is not None), default=None)
        own = costs.get(taken.move.operation or "")
        if own is not None and best is not None:
            lost = max(0.0, own - best)
    return StepReview(
        taken, advised, _against(ruleset, taken), lost, _saving_look(ruleset, taken, advice.belief)
    )


def _against(ruleset: Ruleset, taken: Taken) -> tuple[FindingId, ...]:
    if not isinstance(taken.move, Operate) or taken.move.operation is None:
        return ()
    told = (
        (finding, latest_told(ruleset, taken.before.position.case, finding))
        for finding in ruleset.operation[taken.move.operation].unless
    )
    return tuple(finding for finding, latest in told if latest is not None and latest[1].is_present)


def _saving_look(ruleset: Ruleset, taken: Taken, belief: Belief) -> SavingLook | None:
    """Give the look that speaks most against a cut that could not mend anything, if one does."""
    operation = _cut(ruleset, taken)
    if operation is None:
        return None
    cured = {effect.cause for effect in operation.cures}
    if cured & frozenset(taken.before.reed.hidden):
        return None
    case, reed = taken.before.position.case, taken.before.reed
    before = _likeliest(belief, cured)
    for finding in operation.unless:
        if may_ask(ruleset, case, finding) and reed.shows(finding):
            return SavingLook(finding, shows=True, forbids=True, before=before, after=before)
    looks = [
        _look(ruleset, taken, finding, cured, before) for finding in _worth_a_look(ruleset, case, operation)
    ]
    best = min(looks, key=lambda look: (look.after, look.finding), default=None)
    return best if best is not None and best.after <= TELLING * before else None


def _cut(ruleset: Ruleset, taken: Taken) -> Remedy | None:
    if not isinstance(taken.move, Operate) or taken.move.operation is None:
        return None
    operation = ruleset.operation[taken.move.operation]
    return operation if operation.undo is Undo.NEVER and not operation.is_rest else None


def _worth_a_look(ruleset: Ruleset, case: Case, operation: Remedy) -> Iterator[FindingId]:
    """Give what the causes that the operation mends would show, where a look costs less than it."""
    cured = {effect.cause for effect in operation.cures}
    price = operation.minutes + ruleset.stakes.of(operation.undo)
    shown = {show.finding for cause in cured for show in ruleset.cause[cause].shows}
    for finding in sorted(shown):
        if may_ask(ruleset, case, finding) and ruleset.finding[finding].minutes < price:
            yield finding


def _look(
    ruleset: Ruleset, taken: Taken, finding: FindingId, cured: set[CauseId], before: float
) -> SavingLook:
    shows = taken.before.reed.shows(finding)
    answer = Answer.YES if shows else Answer.NO
    belief = believe(ruleset, taken.before.position.case.with_answer(finding, answer))
    return SavingLook(finding, shows, forbids=False, before=before, after=_likeliest(belief, cured))


def _likeliest(belief: Belief, causes: set[CauseId]) -> float:
    return max((belief.chance(cause) for cause in causes), default=0.0)
