"""Advice: the next step for a case, in the order in which a maker settles trouble.

1. What the last operation asks to look at again, then what may have changed since.
2. Enough for today.
3. The first priority that is not clear; within it, a symptom that is still open.
4. The best of asking, doing, resting and stopping, two steps ahead (`engine.lookahead`).
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import chain
from math import fsum
from typing import Final

from engine import wording
from engine.belief import Belief, belief_of
from engine.candidates import Desk, lay_out
from engine.case import Case
from engine.conflict import disagreeing
from engine.cost import full_cost
from engine.findings import latest_told, told_in, was_asked_in
from engine.folding import Folded, fold_until_narrow, foreseen
from engine.lookahead import Budget, weigh
from engine.outlook import Outlook
from engine.standing import Rank, counts_now, permits, priority_order, rank_of, spent_in_sitting
from engine.step import ANY_REST, Advice, Kind, Step, Weighed
from kb.ids import FindingId, RemedyId
from kb.model import Ending, Finding, Remedy, Ruleset, Undo

NEAR = 1e-9
"""Costs that differ by less, relatively, are equal: then what can be undone comes first."""
WITHIN_REACH: Final = 2 / 3
"""Of its share of the worth, what mending one trouble by itself may cost at most before all is given up."""


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
    return _Thought(ruleset, case, folded, belief, hours_left, budget).advice(in_full=in_full)


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
    hours_left: float | None
    budget: Budget

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
        aim, ranked = self._aimed(active)
        best = ranked[0]
        why = wording.chosen(self.ruleset, self.belief, active, best, ranked)
        if aim is not active:
            why = (wording.in_part(aim, active), *why)
        return self._given(active, Step(best.kind, best.id, why), ranked)

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
        weighed = self._aimed(worked)[1] if in_full and worked is not None and worked.present else ()
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

    def _numbers(self, findings: Sequence[FindingId]) -> list[int]:
        place = {id_: number for number, id_ in enumerate(self.folded.ground.network.findings)}
        return [place[finding] for finding in findings]

    def _any_shows(self, findings: Sequence[Finding]) -> float:
        return self._outlook.any_shows(self._numbers([finding.id for finding in findings]))

    def _each_shows(self, findings: Sequence[FindingId]) -> tuple[float, ...]:
        return self._outlook.each_shows(self._numbers(findings))

    @cached_property
    def _outlook(self) -> Outlook:
        return Outlook(self.folded)

    # -- weighing ---------------------------------------------------------------------------------

    def _desk(self, active: Rank) -> Desk:
        present = self._foremost(active.present)
        leave = permits(
            self.ruleset, self.case, self.belief.chance, [one.id for one in present], self.hours_left
        )
        ground = foreseen(self.folded, self._numbers([one.id for one in present]), self.budget.width)
        return Desk(self.ruleset, self.case, ground, self.belief, active.priority, present, leave)

    def _foremost(self, present: Sequence[Finding]) -> tuple[Finding, ...]:
        """Give the active symptoms, or the most telling ones of too many, by id."""
        told = {
            symptom.id: fsum(
                self.belief.chance(cause.id) * show.strength
                for cause in self.ruleset.causes
                for show in cause.shows
                if show.finding == symptom.id
            )
            for symptom in present
        }
        chosen = sorted(present, key=lambda one: (-told[one.id], one.id))[: self.budget.symptoms]
        return tuple(sorted(chosen, key=lambda one: one.id))

    def _aimed(self, active: Rank) -> tuple[Rank, tuple[Weighed, ...]]:
        """Weigh being rid of all that is present; where that is out of reach, of as much as is within it.

        Worth is for clearing a priority as a whole. By that alone a reed with one trouble past mending
        would be given up with a loose wire on it; so before all is given up, each trouble is taken by
        itself, for its share of the worth.
        """
        ranked = self._weighed(active)
        if ranked[0].kind is not Kind.STOP or len(active.present) < 2:
            return active, ranked
        for part in self._parts(active):
            aimed = self._weighed(part)
            if aimed[0].kind is not Kind.STOP:
                return part, aimed
        return active, ranked

    def _parts(self, active: Rank) -> Iterator[Rank]:
        """Give what is within reach: all that is so by itself taken together, then the nearest alone."""
        share = active.priority.worth / len(active.present)
        least = {one: self._least(_part(active, [one], share)) for one in self._foremost(active.present)}
        within = [one for one in least if least[one] < WITHIN_REACH * share]
        within.sort(key=lambda one: (least[one], one.id))
        if len(within) > 1:
            yield _part(active, within, share)
        if within:
            yield _part(active, within[:1], share)

    def _least(self, active: Rank) -> float:
        """Give the expected minutes of the best sequence, nothing more being asked."""
        field = lay_out(self._desk(active), self.budget)
        return float(field.sequences.value([field.choices.present()]).value[0])

    def _weighed(self, active: Rank) -> tuple[Weighed, ...]:
        field = lay_out(self._desk(active), self.budget)
        found = weigh(field.sequences, field.choices, self.budget)
        ranked = [Weighed(Kind.STOP, self._giving_up(active), found.stop)]
        ranked += [Weighed(Kind.ASK, field.findings[number], cost) for number, cost in found.asked]
        for option, cost in found.done:
            operation = self.ruleset.operation[field.operations[option]]
            ranked.append(Weighed(Kind.REST if operation.is_rest else Kind.DO, operation.id, cost))
        return self._in_order(ranked)

    def _in_order(self, ranked: Sequence[Weighed]) -> tuple[Weighed, ...]:
        """Sort by cost; of equals what can be undone first, a question last, then by id."""
        ordered = sorted(ranked, key=lambda one: (one.cost or 0.0, self._regret(one), one.id))
        for place in range(1, len(ordered)):
            at = place
            while at and self._goes_before(ordered[at], ordered[at - 1]):
                ordered[at - 1], ordered[at] = ordered[at], ordered[at - 1]
                at -= 1
        return tuple(ordered)

    def _goes_before(self, one: Weighed, other: Weighed) -> bool:
        here, there = one.cost or 0.0, other.cost or 0.0
        near = abs(here - there) <= NEAR * max(1.0, abs(here), abs(there))
        return near and (self._regret(one), one.id) < (self._regret(other), other.id)

    def _regret(self, one: Weighed) -> int:
        if one.kind is Kind.ASK:
            return 4
        if one.kind is Kind.STOP:
            return 2
        return {Undo.FULLY: 0, Undo.PARTLY: 1, Undo.NEVER: 3}[self.ruleset.operation[RemedyId(one.id)].undo]

    def _giving_up(self, active: Rank) -> Ending:
        is_first = active.priority.id == self.ruleset.priorities[0].id
        return Ending.SET_ASIDE if is_first else Ending.ACCEPT

    def _enough(self, active: Rank) -> Advice:
        """Propose the best rest, since it is enough for today."""
        leave = permits(self.ruleset, self.case, self.belief.chance, [], self.hours_left)
        rests = [
            rest
            for rest in self.ruleset.rests
            if rest.new_sitting and leave[rest.id].times > 0 and not leave[rest.id].blocked_by
        ]
        why = wording.enough(self.ruleset, self.case)
        if not rests:
            return self._given(active, Step(Kind.REST, ANY_REST, why), (Weighed(Kind.REST, ANY_REST, 0.0),))
        ranked = self._in_order(self._weighed_rests(active, rests))
        return self._given(active, Step(Kind.REST, ranked[0].id, why), ranked)

    def _weighed_rests(self, active: Rank, rests: Sequence[Remedy]) -> list[Weighed]:
        """Weigh rests; one that mends nothing of the trouble costs itself and what comes after."""
        ranked = self._aimed(active)[1] if active.present else ()
        known = {one.id: one for one in ranked}
        onward = (ranked[0].cost or 0.0) if ranked else 0.0
        return [
            known.get(rest.id)
            or Weighed(Kind.REST, rest.id, onward + full_cost(self.ruleset, rest, self.belief.chance))
            for rest in rests
        ]


def _part(active: Rank, present: Sequence[Finding], share: float) -> Rank:
    """Give `active` as if only these troubles of it were present, each worth its share."""
    worth = share * len(present)
    return replace(active, present=tuple(present), priority=replace(active.priority, worth=worth))
