"""Which reeds to work on for a date: by the engine's expected minutes and the rests that still fit.

A prospect is one reed looked at with that date in mind; a plan puts prospects in order. Everything is
counted and nothing promised: where something shows, the minutes are what the engine expects its best step
and all that follows to cost (docs/method.md), which is cautious; a sitting a day is the most that is
planned for.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from math import ceil
from typing import Final

from engine.advice import advise
from engine.case import Case, case_of_entries
from engine.findings import was_asked_in
from engine.refusal import TooWideError
from engine.standing import counts_now
from engine.step import Advice, Kind, Step
from engine.upkeep import ASIDE, CONCERT, Stage, rest_is_over, stage
from kb.ids import CauseId
from kb.log.entry import Entry
from kb.log.moment import moment
from kb.log.replay import ReedHistory, standing
from kb.model import Ending, Ruleset

USUAL_SITTING: Final = 20.0
"""Minutes that are enough for one day where the ruleset does not say."""


@dataclass(frozen=True, slots=True)
class Prospect:
    """What one reed still wants, and whether there is time for it."""

    reed: ReedHistory
    minutes: float
    """Expected minutes from here to the end; 0 when nothing is left to do."""
    sittings: int
    """Sittings that it still wants, the next one included; 0 when it is as good as it gets."""
    possible: int
    """Sittings, one a day, for which there is time."""
    begins: date
    """The first day on which it may be taken up: today, or when its rest is over."""
    step: Step | None
    """What the engine proposes next; None where the answers cannot all be true."""
    hopeless: bool = False
    """Whether the engine would set it aside, or its answers disagree."""

    @property
    def fits(self) -> bool:
        """Whether there is time for what it wants."""
        return not self.hopeless and self.sittings <= self.possible


@dataclass(frozen=True, slots=True)
class Plan:
    """What to rely on and what to work on, for one date."""

    ready: tuple[ReedHistory, ...]
    """Graded for concert, those played least first."""
    ageing: tuple[ReedHistory, ...]
    """Graded for concert, and no longer young: to be looked at before they are relied on."""
    work: tuple[Prospect, ...]
    """To be worked on, as many as are wanted, the likeliest to be done first."""
    spare: tuple[Prospect, ...]
    """For which there is time as well."""
    late: tuple[Prospect, ...]
    """For which there is not enough time, or no hope."""
    missing: int
    """How many reeds are wanted beyond all of these."""


def prospect(
    ruleset: Ruleset, entries: Iterable[Entry], reed: ReedHistory, now: datetime, wanted: date
) -> Prospect:
    """Look at one reed with the date `wanted` in mind; it must be done the day before, or today."""
    case, _ = case_of_entries(ruleset, standing(tuple(entries)))
    over = rest_is_over(reed)
    begins = max(now, over).astimezone(now.tzinfo).date() if over is not None else now.date()
    days = (wanted - begins).days
    possible = max(days, 1 if begins <= now.date() == wanted else 0)
    hours = max((datetime.combine(wanted, now.timetz()) - now) / timedelta(hours=1), 0.0)
    try:
        advice = advise(ruleset, case, hours_left=hours)
    except TooWideError:
        return Prospect(reed, 0.0, 0, possible, begins, None, hopeless=True)
    minutes = _minutes(ruleset, case, advice)
    sittings = _sittings(ruleset, case, reed, advice, minutes, now)
    hopeless = advice.step is None or (
        advice.step.kind is Kind.STOP and advice.step.id == Ending.SET_ASIDE.value
    )
    return Prospect(reed, minutes, sittings, possible, begins, advice.step, hopeless)


def candidates(reeds: Iterable[ReedHistory], now: datetime) -> tuple[ReedHistory, ...]:
    """Give the reeds that are worth a look: in work, or finished for something less than a concert."""
    return tuple(
        reed
        for reed in reeds
        if reed.grade not in {ASIDE, CONCERT}
        and stage(reed, now) in {Stage.NEW, Stage.DUE, Stage.RESTING, Stage.READY, Stage.AGEING}
    )


def plan(reeds: Iterable[ReedHistory], prospects: Iterable[Prospect], need: int, now: datetime) -> Plan:
    """Put everything in order for a date on which `need` reeds are wanted."""
    concert = [reed for reed in reeds if reed.grade == CONCERT]
    stages = {reed.id: stage(reed, now) for reed in concert}
    ageing = tuple(reed for reed in concert if stages[reed.id] is Stage.AGEING)
    ready = sorted(
        (reed for reed in concert if stages[reed.id] is not Stage.AGEING), key=lambda reed: reed.hours_played
    )
    every = sorted(prospects, key=lambda one: (one.sittings, one.minutes, one.reed.name, one.reed.id))
    fitting = [one for one in every if one.fits]
    wanted = max(need - len(ready), 0)
    return Plan(
        tuple(ready),
        ageing,
        tuple(fitting[:wanted]),
        tuple(fitting[wanted:]),
        tuple(one for one in every if not one.fits),
        max(wanted - len(fitting), 0),
    )


def _minutes(ruleset: Ruleset, case: Case, advice: Advice) -> float:
    """Give the minutes that are expected until nothing is left to do.

    Looking at everything that is open now, and mending: where something shows, what the engine expects
    its best step and all that follows to cost; where nothing was found yet, each cause by its chance.
    """
    if advice.step is None or advice.step.kind is Kind.STOP:
        return 0.0
    costs = [weighed.cost for weighed in advice.ranked if weighed.cost is not None]
    mending = min(costs) if costs else sum(_mending(ruleset, *pair) for pair in advice.belief.causes)
    return _looking(ruleset, case) + mending


def _looking(ruleset: Ruleset, case: Case) -> float:
    """Give the minutes of the opening routine and of one try for each priority, as far as they are open."""
    routine = sum(
        ruleset.finding[id_].minutes
        for id_ in ruleset.opening
        if not was_asked_in(ruleset, case.present, id_) and counts_now(ruleset.finding[id_], case)
    )
    tries = (
        [
            finding.minutes
            for finding in ruleset.of_priority(priority.id)
            if counts_now(finding, case) and not was_asked_in(ruleset, case.present, finding.id)
        ]
        for priority in ruleset.priorities
    )
    return routine + sum(max(minutes, default=0.0) for minutes in tries)


def _mending(ruleset: Ruleset, id_: CauseId, chance: float) -> float:
    """Give the minutes that one cause is expected to take: the least that mends it, tried until it does."""
    if ruleset.cause[id_].elsewhere:
        return 0.0
    prices = [
        (remedy.minutes + sum(ruleset.finding[one].minutes for one in remedy.recheck)) / effect.chance
        for remedy in ruleset.remedies
        for effect in remedy.cures
        if effect.cause == id_ and effect.chance > 0.0
    ]
    return chance * min(prices, default=0.0)


def _sittings(
    ruleset: Ruleset, case: Case, reed: ReedHistory, advice: Advice, minutes: float, now: datetime
) -> int:
    """Count the sittings that are still wanted.

    As many as the minutes fill, and enough that everything the rules ask about counts by then: a reed is
    not ready while some of its symptoms do not count yet.
    """
    if advice.step is not None and advice.step.kind is Kind.STOP and advice.step.id != Ending.READY.value:
        return 0
    counted_last = max((finding.counts_from_sitting for finding in ruleset.symptoms), default=1)
    is_over = moment(reed.last_used).astimezone(now.tzinfo).date() < now.date()
    coming = case.sitting + 1 if is_over and reed.sittings >= case.sitting else max(case.sitting, 1)
    until_counted = counted_last - coming + 1
    limit = ruleset.sitting.minutes or USUAL_SITTING
    if advice.step is not None and advice.step.kind is Kind.STOP:
        return max(until_counted, 0)
    return max(1, until_counted, ceil(minutes / limit))
