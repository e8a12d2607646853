"""What to weigh when some trouble is present: being rid of it all, of a part of it, today or tomorrow.

A priority is worth its minutes when it is cleared as a whole. By that alone a reed with one trouble
past mending would be given up with a loose wire on it, and one whose remedy has to wait until
tomorrow would be given up today. So where giving up is cheapest there come, in this order:

1. the troubles that can each be mended well within their share of the worth (`WITHIN_REACH`);
2. the same trouble after the cheapest night, when what may be done once in a sitting may be done again.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import fsum
from typing import Final

from engine import wording
from engine.belief import Belief
from engine.candidates import Desk, lay_out
from engine.case import Case
from engine.cost import full_cost
from engine.folding import Folded, foreseen
from engine.lookahead import Budget, weigh
from engine.standing import Permit, Rank, permits
from engine.step import Kind, Weighed
from kb.ids import RemedyId
from kb.model import Ending, Finding, Remedy, Ruleset, Undo

NEAR: Final = 1e-9
"""Costs that differ by less, relatively, are equal: then what can be undone comes first."""
WITHIN_REACH: Final = 2 / 3
"""Of its share of the worth, what mending one trouble by itself may cost at most before all is given up."""


@dataclass(frozen=True, slots=True)
class Aim:
    """All steps that were weighed for one aim, cheapest first, and why it is less than all, if it is."""

    ranked: tuple[Weighed, ...]
    why: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Aiming:
    """One case whose trouble is weighed."""

    ruleset: Ruleset
    case: Case
    folded: Folded
    belief: Belief
    hours_left: float | None
    budget: Budget

    def at(self, active: Rank) -> Aim:
        """Weigh being rid of what is present of `active`, or as much of it as is within reach."""
        desk = self._desk(active, self.case)
        ranked = self._weighed(desk)
        if ranked[0].kind is not Kind.STOP:
            return Aim(ranked, self._held_back(ranked[0], desk.permits))
        return self._in_part(active, desk, ranked[0]) or self._tomorrow(active, ranked) or Aim(ranked)

    def _held_back(self, best: Weighed, leave: Mapping[RemedyId, Permit]) -> tuple[str, ...]:
        """Say what waits for the best step, if that is an operation and not for the likeliest cause."""
        likeliest = self.belief.causes[0][0] if self.belief.causes else None
        if likeliest is None or best.kind is not Kind.DO:
            return ()
        mending = [
            one for one in self.ruleset.operations if any(effect.cause == likeliest for effect in one.cures)
        ]
        waiting = [one for one in mending if best.id in leave[one.id].blocked_by]
        if not waiting or any(one.id == best.id for one in mending):
            return ()
        return (wording.tried_first(waiting[0], self.ruleset.cause[likeliest]),)

    def rests(self) -> list[Remedy]:
        """Give the nights that the rules allow now."""
        leave = permits(self.ruleset, self.case, self.belief.chance, [], self.hours_left)
        return [
            rest
            for rest in self.ruleset.rests
            if rest.new_sitting and leave[rest.id].times > 0 and not leave[rest.id].blocked_by
        ]

    def in_order(self, ranked: Sequence[Weighed]) -> tuple[Weighed, ...]:
        """Sort by cost; of equals what can be undone first, a question last, then by id."""
        ordered = sorted(ranked, key=lambda one: (one.cost or 0.0, self._regret(one), one.id))
        for place in range(1, len(ordered)):
            at = place
            while at and self._goes_before(ordered[at], ordered[at - 1]):
                ordered[at - 1], ordered[at] = ordered[at], ordered[at - 1]
                at -= 1
        return tuple(ordered)

    # -- less than all, or later ------------------------------------------------------------------

    def _in_part(self, active: Rank, desk: Desk, stopping: Weighed) -> Aim | None:
        """Weigh the part of the trouble that is within reach, if there is one.

        What is left besides costs its share either way, so that stopping costs what it costs.
        """
        if len(active.present) < 2:
            return None
        for part in self._parts(active, desk.active):
            ranked = self._weighed(self._desk(part, self.case))
            if ranked[0].kind is not Kind.STOP:
                stop = next(one for one in ranked if one.kind is Kind.STOP)
                besides = (stopping.cost or 0.0) - (stop.cost or 0.0)
                whole = tuple(replace(one, cost=(one.cost or 0.0) + besides) for one in ranked)
                return Aim(whole, (wording.in_part(part, active),))
        return None

    def _parts(self, active: Rank, foremost: Sequence[Finding]) -> Iterator[Rank]:
        """Give what is within reach: all that is so by itself taken together, then the nearest alone."""
        share = active.priority.worth / len(active.present)
        least = {one: self._least(_part(active, [one], share)) for one in foremost}
        within = [one for one in least if least[one] < WITHIN_REACH * share]
        within.sort(key=lambda one: (least[one], one.id))
        if len(within) > 1:
            yield _part(active, within, share)
        if within:
            yield _part(active, within[:1], share)

    def _least(self, active: Rank) -> float:
        """Give the expected minutes of the best sequence, nothing more being asked."""
        field = lay_out(self._desk(active, self.case), replace(self.budget, screened=0))
        return float(field.sequences.value([field.choices.present()]).value[0])

    def _tomorrow(self, active: Rank, today: tuple[Weighed, ...]) -> Aim | None:
        """Weigh the trouble as the rules will stand after the cheapest night, if waiting pays."""
        nights = [(full_cost(self.ruleset, rest, self.belief.chance), rest.id) for rest in self.rests()]
        if not nights:
            return None
        minutes, night = min(nights)
        tomorrow = self._desk(active, self.case.with_gap(night, new_sitting=True))
        best = self._weighed(tomorrow)[0]
        waited = Weighed(Kind.REST, night, minutes + (best.cost or 0.0))
        if best.kind is Kind.STOP or (waited.cost or 0.0) >= (today[0].cost or 0.0) * (1.0 - NEAR):
            return None
        others = (one for one in today if (one.kind, one.id) != (waited.kind, waited.id))
        return Aim((waited, *others), (wording.tomorrow(active),))

    # -- weighing ---------------------------------------------------------------------------------

    def _desk(self, active: Rank, ruled_at: Case) -> Desk:
        """Lay out the trouble as it is, with what the rules allow at `ruled_at`."""
        present = self._foremost(active.present)
        ids = [one.id for one in present]
        leave = permits(self.ruleset, ruled_at, self.belief.chance, ids, self.hours_left)
        ground = foreseen(self.folded, self.folded.ground.network.numbers(ids), self.budget.width)
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

    def _weighed(self, desk: Desk) -> tuple[Weighed, ...]:
        field = lay_out(desk, self.budget)
        found = weigh(field.sequences, field.choices, self.budget)
        ranked = [Weighed(Kind.STOP, _giving_up(desk), found.stop)]
        ranked += [Weighed(Kind.ASK, field.findings[number], cost) for number, cost in found.asked]
        for option, cost in found.done:
            operation = self.ruleset.operation[field.operations[option]]
            ranked.append(Weighed(Kind.REST if operation.is_rest else Kind.DO, operation.id, cost))
        return self.in_order(ranked)

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


def _giving_up(desk: Desk) -> Ending:
    is_first = desk.priority.id == desk.ruleset.priorities[0].id
    return Ending.SET_ASIDE if is_first else Ending.ACCEPT


def _part(active: Rank, present: Sequence[Finding], share: float) -> Rank:
    """Give `active` as if only these troubles of it were present, each worth its share."""
    worth = share * len(present)
    return replace(active, present=tuple(present), priority=replace(active.priority, worth=worth))
