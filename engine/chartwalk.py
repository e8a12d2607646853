"""Walking a teacher's chart through every answer that a reed may give, and what is lost at each step.

A question that was answered in the same round is not asked again: its answer stands. Only yes and no are
followed; *slightly* and *unsure* are the maker's own and have no chance.

What is lost at a step is how much dearer it is than the engine's own step at that case, as advice
weighs them, if the engine went on from there:

- with trouble present, the difference of the two costs; a question that the engine would not weigh
  counts as its minutes, an operation that it would not weigh (it mends nothing of this trouble, or the
  rules forbid it) as its whole cost, an end as giving up;
- with nothing known to be wrong, a question is free while there is still something to find; an operation
  loses what it costs beyond what it gains; an end loses what may still show.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import assert_never

from engine.ahead import Ahead, CaseKey, Way, key_of
from engine.case import Case
from engine.cost import plain_cost
from engine.findings import latest_told, was_asked_in
from engine.refusal import TooWideError
from engine.step import Advice, Kind
from kb.ids import ChartStepId, FindingId, RemedyId
from kb.model import Answer, AskStep, Chart, DoStep, Ending, StopStep, Undo

ChartStep = AskStep | DoStep | StopStep
Told = Callable[[int, float], None]
"""Hears how many cases have been priced, and the share of reeds whose way is settled."""


@dataclass(frozen=True, slots=True)
class Bounds:
    """How far a chart is walked."""

    least_chance: float = 0.002
    """What fewer reeds than this come to is not followed, and counts as an end."""
    most: int = 2_000
    """Cases that are priced."""
    longest: int = 200
    """Questions and operations on one way, for a chart that goes round."""


@dataclass(frozen=True, slots=True)
class Hasty:
    """An operation that cannot be undone, done before a cheaper look."""

    step: ChartStepId
    operation: RemedyId
    look: FindingId
    chance: float
    """Share of reeds to which it happens."""
    forbids: float | None
    """Chance, among those, that the look would have forbidden it; None where the engine would look first
    for other reasons."""


SpotKey = tuple[int, ChartStepId | None, CaseKey]
"""The layer, the step (None: past the last) and the case."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A step at a case."""

    reach: float
    step: ChartStep | None
    case: Case
    ways: tuple[tuple[SpotKey, Way], ...] = ()
    ends: bool = False
    ending: Ending | None = None
    end_cost: float = 0.0
    shows: float = 0.0
    """At an end: the chance that something still shows."""
    lost: float = 0.0
    hasty: tuple[Hasty, ...] = ()
    is_forbidden: bool = False
    is_cut: bool = False


class Walk:
    """Walks one chart."""

    def __init__(self, ahead: Ahead, chart: Chart, through: int, bounds: Bounds) -> None:
        self.ahead = ahead
        self.chart = chart
        self.through = through
        self._bounds = bounds
        self.steps: Mapping[ChartStepId, ChartStep] = {step.id: step for step in chart.steps}

    def spots(self, case: Case, told: Told | None) -> dict[SpotKey, Spot]:
        """Give the spots, every one before those that follow it."""
        found: dict[SpotKey, Spot] = {}
        start = self._settled(self.chart.start, case)
        layer = {(0, start, key_of(case)): (case, 1.0)}
        depth, settled = 0, 0.0
        while layer:
            following: dict[SpotKey, tuple[Case, float]] = {}
            for key, (here, reach) in sorted(layer.items(), key=lambda item: -item[1][1]):
                spot = self._spot(key, here, reach, depth, len(found))
                found[key] = spot
                settled += 0.0 if spot.ways else reach
                for to, way in spot.ways:
                    following[to] = (way.case, reach * way.chance + following.get(to, (way.case, 0.0))[1])
                if told is not None:
                    told(len(found), settled)
            layer, depth = following, depth + 1
        return found

    def _settled(self, at: ChartStepId | None, case: Case) -> ChartStepId | None:
        """Give the step at which something new is asked or done, past what was answered already."""
        for _ in self.chart.steps:
            step = None if at is None else self.steps[at]
            if not isinstance(step, AskStep):
                return at
            answer = case.present.answer(step.finding)
            if answer is None:
                return at
            at = _way_of(step, answer)
        return None

    def _spot(self, key: SpotKey, case: Case, reach: float, depth: int, priced: int) -> Spot:
        _, id_, _ = key
        step = None if id_ is None else self.steps[id_]
        bounds = self._bounds
        is_cut = depth > 0 and (
            reach < bounds.least_chance or depth >= bounds.longest or priced >= bounds.most
        )
        try:
            if step is None or is_cut or isinstance(step, StopStep):
                ending = step.ending if isinstance(step, StopStep) and not is_cut else None
                return self._end(Spot(reach, step, case, is_cut=is_cut), ending)
            if isinstance(step, AskStep):
                ways = self.ahead.asked(case, step.finding)
                goes = [_way_of(step, way.answer) for way in ways]
            else:
                ways = (self.ahead.done(case, step.remedy),)
                goes = [step.then]
            onward = tuple(
                ((depth + 1, self._settled(to, way.case), key_of(way.case)), way)
                for to, way in zip(goes, ways, strict=True)
            )
            spot = Spot(reach, step, case, onward)
            return self._judged(spot)
        except TooWideError:
            if depth == 0:
                raise
            return Spot(reach, step, case, ends=True, end_cost=self.ahead.most_worth, is_cut=True)

    def _end(self, spot: Spot, ending: Ending | None) -> Spot:
        cost = self.ahead.ended(spot.case, ending, self.through)
        if spot.is_cut:
            return replace(spot, ends=True, end_cost=cost)
        lost = self._lost_by_ending(spot.case, ending, cost)
        shows = sum(self.ahead.trouble(spot.case))
        return replace(spot, ends=True, ending=ending, end_cost=cost, shows=shows, lost=lost)

    # -- what is lost --------------------------------------------------------------------------------

    def _judged(self, spot: Spot) -> Spot:
        advice = self.ahead.advice(spot.case)
        if isinstance(spot.step, AskStep):
            return replace(spot, lost=self._lost_by_asking(spot, spot.step, advice))
        assert isinstance(spot.step, DoStep)  # noqa: S101 - ends are judged elsewhere
        hasty, is_forbidden = self._haste(spot.case, spot.step, advice)
        lost = self._lost_by_doing(spot, spot.step, advice)
        return replace(spot, lost=lost, hasty=hasty, is_forbidden=is_forbidden)

    def _lost_by_asking(self, spot: Spot, step: AskStep, advice: Advice) -> float:
        if advice.step is not None and (advice.step.kind, advice.step.id) == (Kind.ASK, step.finding):
            return 0.0
        own = sum(way.chance * way.cost for _, way in spot.ways)
        best = _least(advice)
        if best is None:
            return own if _is_over(advice) else 0.0
        weighed = _cost_in(advice, Kind.ASK, step.finding)
        return max(0.0, own if weighed is None else min(own, weighed - best))

    def _lost_by_doing(self, spot: Spot, step: DoStep, advice: Advice) -> float:
        operation = self.ahead.ruleset.operation[step.remedy]
        best = _least(advice)
        if best is not None:
            weighed = _cost_in(advice, Kind.REST if operation.is_rest else Kind.DO, step.remedy)
            if weighed is not None:
                return max(0.0, weighed - best)
            return self.ahead.cost_of(spot.case, operation)
        (_, way), *_ = spot.ways
        gained = self.ahead.left(spot.case, self.through) - self.ahead.left(way.case, self.through)
        return max(0.0, way.cost - gained)

    def _lost_by_ending(self, case: Case, ending: Ending | None, cost: float) -> float:
        advice = self.ahead.advice(case)
        best = _least(advice)
        if best is not None:
            stop = next((one.cost for one in advice.ranked if one.kind is Kind.STOP), None)
            return max(0.0, (cost if stop is None else stop) - best)
        if ending is Ending.SET_ASIDE:
            return max(0.0, cost - self.ahead.left(case, self.through))
        return 0.0 if _is_over(advice) else cost

    def _haste(self, case: Case, step: DoStep, advice: Advice) -> tuple[tuple[Hasty, ...], bool]:
        """Give the looks left out before a step that cannot be undone, and whether the step is forbidden."""
        ruleset = self.ahead.ruleset
        operation = ruleset.operation[step.remedy]
        told = {finding: latest_told(ruleset, case, finding) for finding in operation.unless}
        is_forbidden = any(latest is not None and latest[1].is_present for latest in told.values())
        if operation.undo is not Undo.NEVER or operation.is_rest:
            return (), is_forbidden
        price = plain_cost(ruleset, operation)
        found = []
        for finding in operation.unless:
            looked = any(was_asked_in(ruleset, one, finding) for one in case.in_sitting())
            if not looked and ruleset.finding[finding].minutes < price:
                forbids = self.ahead.shows(case, finding)
                if forbids > 0.0:
                    found.append(Hasty(step.id, step.remedy, finding, 1.0, forbids))
        first = advice.ranked[0] if advice.ranked and advice.ranked[0].cost is not None else None
        if first is not None and first.kind is Kind.ASK and first.id not in operation.unless:
            look = FindingId(first.id)
            if ruleset.finding[look].minutes < price:
                found.append(Hasty(step.id, step.remedy, look, 1.0, None))
        return tuple(found), is_forbidden


def _way_of(step: AskStep, answer: Answer | None) -> ChartStepId | None:
    match answer:
        case Answer.YES:
            return step.yes
        case Answer.SLIGHTLY:
            return step.slightly
        case Answer.NO | None:
            return step.no
        case Answer.UNSURE:
            return step.unsure
    assert_never(answer)


def _least(advice: Advice) -> float | None:
    """Give the cost of the best step; None where nothing is known to be wrong."""
    return min(
        (one.cost for one in advice.ranked if one.cost is not None and not _is_over(advice)), default=None
    )


def _is_over(advice: Advice) -> bool:
    return advice.step is not None and (advice.step.kind, advice.step.id) == (Kind.STOP, Ending.READY)


def _cost_in(advice: Advice, kind: Kind, id_: str) -> float | None:
    return next((one.cost for one in advice.ranked if one.kind is kind and one.id == id_), None)
