"""A teacher's chart, priced by the same model as the computed tree, with the places where it goes wrong.

`engine.chartwalk` follows it through every answer; here it is summed up.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import assert_never

from engine.ahead import Ahead, scope_of
from engine.case import Case
from engine.chartwalk import Bounds, ChartStep, Hasty, Spot, SpotKey, Told, Walk
from engine.tree import reading_order
from kb.ids import CauseId, ChartStepId, FindingId, RemedyId
from kb.model import Answer, AskStep, Chart, DoStep, Ending, StopStep

WORTH_TELLING = 0.05
"""Minutes; a step that loses less loses nothing."""


@dataclass(frozen=True, slots=True)
class PricedStep:
    """One step of a chart; everything is the mean over the reeds that come to it."""

    step: ChartStep
    reach: float
    """How often a reed comes here, on average; more than 1 only where a chart goes round."""
    chance_yes: float | None
    """Of a question, where it is asked and not answered already."""
    minutes: float
    """Expected from here to the chart's end."""
    cuts: float
    """Operations that cannot be undone, expected from here on."""
    cost: float
    """Expected from here on, in minutes, as advice weighs it."""
    lost: float
    """Minutes lost here, expected for a reed at the chart's start; compare steps by it."""


@dataclass(frozen=True, slots=True)
class ChartEnd:
    """One kind of end."""

    ending: Ending | None
    """None: the chart ends there without a verdict."""
    chance: float
    shows: float
    """Chance of ending so while some symptom that counts still shows."""


@dataclass(frozen=True, slots=True)
class PricedChart:
    """A chart and what it takes."""

    chart: Chart
    steps: tuple[PricedStep, ...]
    """Those that are reached, in the chart's own order from its start."""
    through: int
    """How many priorities its cost looks at."""
    minutes: float
    cuts: float
    cost: float
    ends: tuple[ChartEnd, ...]
    not_followed: float
    """Share of reeds whose way was not followed to the end, for want of chance."""
    never_reached: tuple[CauseId, ...]
    """Causes that the ruleset can mend and the chart cannot, the likeliest first."""
    hasty: tuple[Hasty, ...]
    forbidden: tuple[tuple[ChartStepId, float], ...]
    """Steps that do what an answer given before forbids (`unless`), and the share of reeds."""

    @property
    def false_ready(self) -> float:
        """Share of reeds that end ready though some symptom still shows."""
        return sum((end.shows for end in self.ends if end.ending is Ending.READY), 0.0)

    def dearest(self, most: int) -> tuple[PricedStep, ...]:
        """Give the steps at which most is lost, the dearest first; only those that lose anything."""
        ranked = sorted(self.steps, key=lambda one: (-one.lost, one.step.id))
        return tuple(one for one in ranked[:most] if one.lost > WORTH_TELLING)


def price(
    ahead: Ahead, chart: Chart, case: Case, bounds: Bounds | None = None, told: Told | None = None
) -> PricedChart:
    """Walk and price `chart` from `case`.

    Raises TooWideError when `case` itself is too wide, and ValueError when it is impossible.
    """
    if ahead.advice(case).step is None:
        raise ValueError("these answers cannot all be true, so nothing follows from them")
    walk = Walk(ahead, chart, scope_of(ahead.ruleset, case), bounds or Bounds())
    return _summed(walk, walk.spots(case, told), case)


@dataclass(slots=True)
class _Sum:
    """What is expected at one step, each case by its reach."""

    reach: float = 0.0
    asked: float = 0.0
    yes: float = 0.0
    minutes: float = 0.0
    cuts: float = 0.0
    cost: float = 0.0
    lost: float = 0.0


@dataclass(frozen=True, slots=True)
class _Onward:
    minutes: float
    cuts: float
    cost: float


def _summed(walk: Walk, spots: Mapping[SpotKey, Spot], start: Case) -> PricedChart:
    onward: dict[SpotKey, _Onward] = {}
    sums: dict[ChartStepId, _Sum] = {}
    for key, spot in reversed(list(spots.items())):
        then = [(way, onward[to]) for to, way in spot.ways]
        here = _Onward(
            minutes=sum((way.chance * (way.minutes + on.minutes) for way, on in then), 0.0),
            cuts=sum((way.chance * (way.cuts + on.cuts) for way, on in then), 0.0),
            cost=sum((way.chance * (way.cost + on.cost) for way, on in then), spot.end_cost),
        )
        onward[key] = here
        if spot.step is not None:
            _add(sums.setdefault(spot.step.id, _Sum()), spot, here)
    whole = onward[next(iter(spots))]
    return PricedChart(
        chart=walk.chart,
        steps=tuple(_priced(step, sums[step.id]) for step in _from_start(walk) if step.id in sums),
        through=walk.through,
        minutes=whole.minutes,
        cuts=whole.cuts,
        cost=whole.cost,
        ends=_ends(spots.values()),
        not_followed=sum((spot.reach for spot in spots.values() if spot.is_cut), 0.0),
        never_reached=_never_reached(walk, start),
        hasty=_hasty(spots.values()),
        forbidden=_forbidden(walk, spots.values()),
    )


def _add(total: _Sum, spot: Spot, here: _Onward) -> None:
    total.reach += spot.reach
    if isinstance(spot.step, AskStep) and spot.ways:
        total.asked += spot.reach
        total.yes += spot.reach * sum(way.chance for _, way in spot.ways if way.answer is Answer.YES)
    total.minutes += spot.reach * here.minutes
    total.cuts += spot.reach * here.cuts
    total.cost += spot.reach * here.cost
    total.lost += spot.reach * spot.lost


def _priced(step: ChartStep, total: _Sum) -> PricedStep:
    return PricedStep(
        step=step,
        reach=total.reach,
        chance_yes=total.yes / total.asked if total.asked > 0.0 else None,
        minutes=total.minutes / total.reach,
        cuts=total.cuts / total.reach,
        cost=total.cost / total.reach,
        lost=total.lost,
    )


def _from_start(walk: Walk) -> tuple[ChartStep, ...]:
    """Give the steps that can be reached, in reading order."""

    def following(id_: ChartStepId) -> tuple[ChartStepId, ...]:
        return tuple(to for to in ways_of(walk.steps[id_]) if to is not None)

    return tuple(walk.steps[id_] for id_ in reading_order(walk.chart.start, following))


def ways_of(step: ChartStep) -> tuple[ChartStepId | None, ...]:
    """Give where a step may lead, the way of yes first."""
    match step:
        case AskStep():
            return (step.yes, step.no, step.slightly, step.unsure)
        case DoStep():
            return (step.then,)
        case StopStep():
            return ()
    assert_never(step)


def _ends(spots: Iterable[Spot]) -> tuple[ChartEnd, ...]:
    found: dict[Ending | None, tuple[float, float]] = {}
    for spot in spots:
        if spot.ends and not spot.is_cut:
            chance, shows = found.get(spot.ending, (0.0, 0.0))
            found[spot.ending] = (chance + spot.reach, shows + spot.reach * spot.shows)
    order = (*Ending, None)
    return tuple(ChartEnd(ending, *found[ending]) for ending in order if ending in found)


def _never_reached(walk: Walk, start: Case) -> tuple[CauseId, ...]:
    ruleset = walk.ahead.ruleset
    done = {step.remedy for step in _from_start(walk) if isinstance(step, DoStep)}

    def mended(operations: Iterable[RemedyId]) -> set[CauseId]:
        return {effect.cause for id_ in operations for effect in ruleset.operation[id_].cures}

    left = mended(ruleset.operation) - mended(done)
    return tuple(cause for cause, _ in walk.ahead.advice(start).belief.causes if cause in left)


def _hasty(spots: Iterable[Spot]) -> tuple[Hasty, ...]:
    found: dict[tuple[ChartStepId, FindingId], Hasty] = {}
    for spot in spots:
        for one in spot.hasty:
            known = found.get((one.step, one.look))
            found[one.step, one.look] = _joined(known, replace(one, chance=spot.reach))
    return tuple(
        sorted(found.values(), key=lambda one: (-one.chance * (one.forbids or 0.0), one.step, one.look))
    )


def _joined(known: Hasty | None, one: Hasty) -> Hasty:
    if known is None:
        return one
    chance = known.chance + one.chance
    if known.forbids is None or one.forbids is None:
        return replace(known, chance=chance)
    return replace(
        known, chance=chance, forbids=(known.chance * known.forbids + one.chance * one.forbids) / chance
    )


def _forbidden(walk: Walk, spots: Iterable[Spot]) -> tuple[tuple[ChartStepId, float], ...]:
    found: dict[ChartStepId, float] = {}
    for spot in spots:
        if spot.is_forbidden and spot.step is not None:
            found[spot.step.id] = found.get(spot.step.id, 0.0) + spot.reach
    return tuple((step.id, found[step.id]) for step in _from_start(walk) if step.id in found)
