"""Advice: the next step for a case, in the order in which a maker settles trouble.

1. What the last operation asks to look at again, then what may have changed since.
2. Enough for today.
3. The first priority that is not clear; within it, a symptom that is still open.
4. The best of asking, doing, resting and stopping, two steps ahead (`engine.aiming`, `engine.lookahead`).
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import chain

from engine import wording
from engine.aiming import Aiming
from engine.belief import Belief, belief_of
from engine.case import Case
from engine.conflict import disagreeing
from engine.cost import full_cost
from engine.findings import latest_told, told_in, was_asked_in
from engine.folding import Folded, fold_until_narrow
from engine.lookahead import Budget
from engine.outlook import Outlook
from engine.standing import Rank, counts_now, priority_order, rank_of, spent_in_sitting
from engine.step import ANY_REST, Advice, Kind, Step, Weighed
from kb.ids import FindingId
from kb.model import Ending, Finding, Remedy, Ruleset

NEAR = 1e-9
"""Chances per minute that differ by less, relatively, are equal."""


def advise(
    ruleset: Ruleset,
    case: Case,
    *,
    hours_left: float | None = None,
    budget: Budget | None = None,
    in_full: bool = True,
) -> Advice:
    """Work out the next step.

    `in_full` False leaves out of `ranked` what would be weighed behind a look that comes first
    anyway: it takes time and changes no step. Raises TooWideError when the present round cannot be
    weighed exactly.
    """
    budget = budget or Budget()
    folded = fold_until_narrow(ruleset, case, budget.widest)
    belief = belief_of(folded)
    if not belief.is_possible:
        return Advice(belief, None, None, disagree=disagreeing(ruleset, case))
    aiming = Aiming(ruleset, case, folded, belief, hours_left, budget)
    return _Thought(ruleset, case, folded, belief, aiming).advice(in_full=in_full)


@dataclass(frozen=True, slots=True)
class _Look:
    """A question that comes before any weighing."""

    finding: FindingId
    why: str


@dataclass(frozen=True)
class _Thought:
    """One case being thought through."""

    ruleset: Ruleset
    case: Case
    folded: Folded
    belief: Belief
    aiming: Aiming

    def advice(self, *, in_full: bool) -> Advice:
        """Give the advice for a possible case."""
        ranks = [rank_of(self.ruleset, self.case, one, self._any_shows) for one in self.ruleset.priorities]
        below = self.ruleset.clear_below
        active = next((rank for rank in ranks if not rank.is_clear(below)), None)
        look = self._look_again(ranks)
        if active is None and look is None:
            step = Step(Kind.STOP, Ending.READY, wording.ready(self.ruleset, self.case, ranks))
            return self._given(None, step, (Weighed(Kind.STOP, Ending.READY, 0.0),))
        if look is not None:
            return self._looking(active, look, worked=active, in_full=in_full)
        assert active is not None  # noqa: S101 - the branches above leave nothing else
        if spent_in_sitting(self.ruleset, self.case).is_enough(self.ruleset):
            return self._enough(active)
        if not active.present:
            worked = next((rank for rank in ranks if rank.present), active)
            look = self._open_question(active)
            return self._looking(active, look, worked=worked, opens=True, in_full=in_full)
        aim = self.aiming.at(active)
        best = aim.ranked[0]
        why = wording.chosen(self.ruleset, self.belief, active, best, aim.ranked)
        return self._given(active, Step(best.kind, best.id, (*aim.why, *why)), aim.ranked)

    def _looking(
        self,
        active: Rank | None,
        look: _Look,
        *,
        worked: Rank | None,
        in_full: bool,
        opens: bool = False,
    ) -> Advice:
        """Give the advice to look first; what is weighed behind it follows if wanted `in_full`.

        Behind an open question of a priority where nothing is present that is the work on the first
        priority where something is: what comes next, should the look find nothing.
        """
        step = Step(Kind.ASK, look.finding, (look.why,))
        weighed = self.aiming.at(worked).ranked if in_full and worked is not None and worked.present else ()
        behind = (one for one in weighed if (one.kind, one.id) != (Kind.ASK, look.finding))
        return self._given(active, step, (Weighed(Kind.ASK, look.finding, None), *behind), opens=opens)

    def _given(
        self, active: Rank | None, step: Step, ranked: tuple[Weighed, ...], *, opens: bool = False
    ) -> Advice:
        return Advice(
            belief=self.belief,
            priority=None if active is None else active.priority.id,
            step=step,
            ranked=ranked,
            reopened=active is not None and self._is_reopened(active),
            opens=opens,
        )

    # -- what comes before weighing -------------------------------------------------------------

    def _look_again(self, ranks: Sequence[Rank]) -> _Look | None:
        """Give the next thing to look at after the last gap, if any is left."""
        gap = self.case.rounds[-2].gap if len(self.case.rounds) > 1 else None
        if gap is None:
            return None
        operation = None if gap.operation is None else self.ruleset.operation[gap.operation]
        worked = next((number for number, rank in enumerate(ranks) if rank.present), len(ranks))
        looks = chain(
            self._rechecks(operation),
            self._stale(ranks[worked:], operation),
            self._disturbed(ranks[:worked], operation),
        )
        return next(looks, None)

    def _rechecks(self, operation: Remedy | None) -> Iterator[_Look]:
        if operation is None:
            return
        for finding in operation.recheck:
            if self._may_ask(finding):
                yield _Look(finding, wording.recheck(operation))

    def _stale(self, ranks: Sequence[Rank], operation: Remedy | None) -> Iterator[_Look]:
        """Give the symptoms being worked on whose answer is older than the gap."""
        for symptom in sorted(ranks[0].present, key=lambda one: one.id) if ranks else ():
            latest = latest_told(self.ruleset, self.case, symptom.id)
            if latest is not None and latest[0] < len(self.case.rounds) - 1 and self._may_ask(symptom.id):
                yield _Look(symptom.id, wording.changed_since(operation))

    def _disturbed(self, earlier: Sequence[Rank], operation: Remedy | None) -> Iterator[_Look]:
        """Give symptoms of earlier priorities that the operation may have brought."""
        if operation is None:
            return
        shown = self._shown_by_provoked(operation)
        doubtful = sorted(symptom.id for rank in earlier for symptom in rank.askable if symptom.id in shown)
        for finding, chance in zip(doubtful, self._each_shows(doubtful), strict=True):
            if chance >= self.ruleset.clear_below:
                yield _Look(finding, wording.disturbed(operation))

    def _shown_by_provoked(self, operation: Remedy) -> frozenset[FindingId]:
        return frozenset(
            show.finding for effect in operation.provokes for show in self.ruleset.cause[effect.cause].shows
        )

    def _open_question(self, active: Rank) -> _Look:
        """Give the open symptom likeliest to show, per minute."""
        ids = [symptom.id for symptom in active.askable]
        chances = dict(zip(ids, self._each_shows(ids), strict=True))
        keen = {one.id: chances[one.id] / max(one.minutes, NEAR) for one in active.askable}
        most = max(keen.values())
        # Sums differ in their last digit with the order of the file; what is as keen goes by id.
        best = min(
            (one for one in active.askable if keen[one.id] >= most * (1.0 - NEAR)), key=lambda one: one.id
        )
        return _Look(best.id, wording.open_symptom(active, chances[best.id]))

    def _may_ask(self, finding: FindingId) -> bool:
        entry = self.ruleset.finding[finding]
        return counts_now(entry, self.case) and not was_asked_in(self.ruleset, self.case.present, finding)

    def _is_reopened(self, active: Rank) -> bool:
        """Whether trouble of a later priority was being worked on before the last gap."""
        if len(self.case.rounds) < 2 or not active.present:
            return False
        before = Case(self.case.rounds[:-1])
        order = priority_order(self.ruleset)
        present_before = [
            order[finding.priority]
            for finding in self.ruleset.findings
            if finding.priority is not None and self._is_present(before, finding)
        ]
        here = order[active.priority.id]
        fresh = all(
            told_in(self.ruleset, self.case.present, symptom.id) is not None for symptom in active.present
        )
        return fresh and bool(present_before) and min(present_before) > here

    def _is_present(self, case: Case, finding: Finding) -> bool:
        latest = latest_told(self.ruleset, case, finding.id)
        return counts_now(finding, case) and latest is not None and latest[1].is_present

    # -- chances ----------------------------------------------------------------------------------

    def _any_shows(self, findings: Sequence[Finding]) -> float:
        return self._outlook.any_shows(
            self.folded.ground.network.numbers([finding.id for finding in findings])
        )

    def _each_shows(self, findings: Sequence[FindingId]) -> tuple[float, ...]:
        return self._outlook.each_shows(self.folded.ground.network.numbers(findings))

    @cached_property
    def _outlook(self) -> Outlook:
        return Outlook(self.folded)

    # -- weighing ---------------------------------------------------------------------------------

    def _enough(self, active: Rank) -> Advice:
        """Propose the best rest, since it is enough for today."""
        rests = self.aiming.rests()
        why = wording.enough(self.ruleset, self.case)
        if not rests:
            return self._given(active, Step(Kind.REST, ANY_REST, why), (Weighed(Kind.REST, ANY_REST, 0.0),))
        ranked = self.aiming.in_order(self._weighed_rests(active, rests))
        return self._given(active, Step(Kind.REST, ranked[0].id, why), ranked)

    def _weighed_rests(self, active: Rank, rests: Sequence[Remedy]) -> list[Weighed]:
        """Weigh rests; one that mends nothing of the trouble costs itself and what comes after."""
        ranked = self.aiming.at(active).ranked if active.present else ()
        known = {one.id: one for one in ranked}
        onward = (ranked[0].cost or 0.0) if ranked else 0.0
        return [
            known.get(rest.id)
            or Weighed(Kind.REST, rest.id, onward + full_cost(self.ruleset, rest, self.belief.chance))
            for rest in rests
        ]
