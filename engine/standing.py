"""How a case stands, by the rules alone.

Which symptoms are present, which priority is active, which operations the ruleset allows now,
whether it is enough for today. No chances are weighed here beyond those handed in.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import Enum

from engine.case import Case, Round
from engine.findings import latest_told, told_in, was_asked_in
from kb.ids import CauseId, FindingId, PriorityId, RemedyId
from kb.model import Answer, Finding, Priority, QuantityRead, Remedy, Ruleset, Undo

BLOCKING_BELIEF = 0.10
"""`after` holds back while the earlier operation cures a cause at least this likely."""


@dataclass(frozen=True, slots=True)
class Rank:
    """One priority's standing."""

    priority: Priority
    present: tuple[Finding, ...]
    """Symptoms whose latest answer is yes or slightly."""
    open: tuple[Finding, ...]
    """Symptoms that nothing is told of in the present round."""
    askable: tuple[Finding, ...]
    """The open ones that were not answered unsure in the present round."""
    looked_at: bool
    """Whether one of its symptoms was told in this sitting."""
    any_shows: float
    """Chance that an open one shows now."""
    counts: bool
    """Whether any of its symptoms counts at this sitting."""

    def is_clear(self, below: float) -> bool:
        """Whether nothing is left to do about it (or nothing that can be found out)."""
        if not self.counts:
            return True
        if self.present:
            return False
        return (self.looked_at and self.any_shows < below) or not self.askable

    def is_known_clear(self, below: float) -> bool:
        """Whether it is clear because answers say so, and not for want of an answer."""
        return not self.counts or (not self.present and self.looked_at and self.any_shows < below)


def counts_now(finding: Finding, case: Case) -> bool:
    """Whether a finding counts at the present sitting."""
    return case.sitting >= finding.counts_from_sitting


def rank_of(
    ruleset: Ruleset, case: Case, priority: Priority, any_shows: Callable[[Sequence[Finding]], float]
) -> Rank:
    """Work out how one priority stands."""
    counting = tuple(finding for finding in ruleset.of_priority(priority.id) if counts_now(finding, case))
    latest = {finding.id: latest_told(ruleset, case, finding.id) for finding in counting}
    present = tuple(
        finding for finding in counting if (told := latest[finding.id]) is not None and told[1].is_present
    )
    is_open = tuple(finding for finding in counting if told_in(ruleset, case.present, finding.id) is None)
    askable = tuple(finding for finding in is_open if not was_asked_in(ruleset, case.present, finding.id))
    sitting = case.in_sitting()
    looked_at = any(told_in(ruleset, one, finding.id) is not None for finding in counting for one in sitting)
    shows = 0.0 if present or not looked_at else any_shows(is_open)
    return Rank(priority, present, is_open, askable, looked_at, shows, counts=bool(counting))


class Leave(Enum):
    """What the rules say of an operation."""

    FREE = "free"
    PENDING = "pending"
    """Allowed once each of its `unless` was answered in this sitting."""
    FORBIDDEN = "forbidden"


@dataclass(frozen=True, slots=True)
class Permit:
    """What the rules say of one operation now."""

    leave: Leave
    pending: tuple[FindingId, ...] = ()
    """Its `unless` that are still to be answered."""
    times: int = 0
    """How often it may still be done in this sitting."""
    blocked_by: tuple[RemedyId, ...] = ()
    """Its `after` that should come first."""


def permits(
    ruleset: Ruleset,
    case: Case,
    believed: Callable[[CauseId], float],
    active: Sequence[FindingId],
    hours_left: float | None,
) -> dict[RemedyId, Permit]:
    """Say for each operation what the rules make of it. `believed` gives a cause's chance now."""
    plain = {one.id: _permit(ruleset, case, one, hours_left) for one in ruleset.operations}
    done = {one.gap.operation for one in case.rounds if one.gap is not None}
    found: dict[RemedyId, Permit] = {}

    def free_but_for_order(id_: RemedyId, seen: frozenset[RemedyId]) -> bool:
        if plain[id_].leave is Leave.FORBIDDEN or id_ in seen:
            return False
        return not any(holds_back(earlier, seen | {id_}) for earlier in ruleset.operation[id_].after)

    def holds_back(id_: RemedyId, seen: frozenset[RemedyId] = frozenset()) -> bool:
        if id_ in done or not free_but_for_order(id_, seen):
            return False
        cured = {effect.cause for effect in ruleset.operation[id_].cures}
        return any(
            believed(cause) >= BLOCKING_BELIEF
            and any(show.finding in active for show in ruleset.cause[cause].shows)
            for cause in cured
        )

    for one in ruleset.operations:
        permit = plain[one.id]
        blocked = tuple(earlier for earlier in one.after if holds_back(earlier, frozenset({one.id})))
        found[one.id] = Permit(permit.leave, permit.pending, permit.times, blocked)
    return found


def _permit(ruleset: Ruleset, case: Case, one: Remedy, hours_left: float | None) -> Permit:
    sitting = case.in_sitting()
    times = one.at_most - sum(round_.gap is not None and round_.gap.operation == one.id for round_ in sitting)
    too_long = one.is_rest and hours_left is not None and one.hours > hours_left
    told = [latest_told(ruleset, case, finding) for finding in one.unless]
    if (
        times <= 0
        or case.sitting < one.from_sitting
        or too_long
        or any(latest is not None and latest[1].is_present for latest in told)
    ):
        return Permit(Leave.FORBIDDEN)
    pending = tuple(
        finding
        for finding in one.unless
        if one.undo is Undo.NEVER and not any(was_asked_in(ruleset, round_, finding) for round_ in sitting)
    )
    return Permit(Leave.PENDING if pending else Leave.FREE, pending, times)


@dataclass(frozen=True, slots=True)
class Spent:
    """What the present sitting has taken so far."""

    minutes: float
    cuts: int
    """Operations that cannot be undone."""

    def is_enough(self, ruleset: Ruleset) -> bool:
        """Whether the ruleset calls that enough for one day."""
        limit = ruleset.sitting
        return (limit.minutes is not None and self.minutes >= limit.minutes) or (
            limit.cuts is not None and self.cuts >= limit.cuts
        )


def spent_in_sitting(ruleset: Ruleset, case: Case) -> Spent:
    """Add up the minutes and the irreversible operations of the present sitting.

    Symptoms of one priority that do not show are found out by playing once: in one round they cost
    together as much as the longest of them, whether an overview question or each by itself
    answered them. A reading costs what the cheapest sign that reads it costs, once.
    """
    minutes, cuts = 0.0, 0
    for one in case.in_sitting():
        minutes += _minutes_of_answers(ruleset, one) + _minutes_of_readings(ruleset, one)
        if one.gap is not None and one.gap.operation is not None:
            operation = ruleset.operation[one.gap.operation]
            minutes += 0.0 if operation.new_sitting else operation.minutes
            cuts += operation.undo is Undo.NEVER and not operation.is_rest
    return Spent(minutes, cuts)


def _minutes_of_answers(ruleset: Ruleset, one: Round) -> float:
    alone, together = 0.0, dict[PriorityId, float]()
    for id_, answer in one.answers:
        finding = ruleset.finding[id_]
        if answer is Answer.NO and finding.priority is not None and not finding.is_sign:
            together[finding.priority] = max(finding.minutes, together.get(finding.priority, 0.0))
        else:
            alone += finding.minutes
    return alone + sum(together.values())


def _minutes_of_readings(ruleset: Ruleset, one: Round) -> float:
    total = 0.0
    for quantity, _ in one.readings:
        reading = [
            sign.minutes
            for sign in ruleset.signs
            if isinstance(sign.read, QuantityRead)
            and sign.read.quantity == quantity
            and one.answer(sign.id) is None
        ]
        total += min(reading, default=0.0)
    # A gauge is taken out once for all places.
    return total + max((ruleset.finding[sign].minutes for sign, _ in one.read_off), default=0.0)


def priority_order(ruleset: Ruleset) -> dict[PriorityId, int]:
    """Give each priority's rank, 0 the most urgent."""
    return {priority.id: number for number, priority in enumerate(ruleset.priorities)}
