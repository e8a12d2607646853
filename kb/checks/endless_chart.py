"""Finds charts on which somebody could walk for ever."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Final

from kb.checks.found import Found
from kb.checks.ways import ends_here, ways_on
from kb.ids import ChartStepId
from kb.model import AskStep, Chart, DoStep, Ruleset, StopStep
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("endless-chart")
SEVERITY: Final = Severity.ERROR

_Steps = Mapping[ChartStepId, AskStep | DoStep | StopStep]


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at a step from which no end can be reached, else at a round of questions alone.

    A round with a remedy in it is how people work (scrape, crow, scrape); a round of questions
    changes nothing about the reed, so the same answers lead round it again and again.
    """
    for chart in ruleset.charts:
        steps = {step.id: step for step in chart.steps}
        problem = _without_end(chart, steps) or _questions_only(steps)
        if problem is not None:
            yield Found(chart, problem)


def _without_end(chart: Chart, steps: _Steps) -> Problem | None:
    """Walk backwards from the ends; what is reached from the start and not from there is endless."""
    before: dict[ChartStepId, list[ChartStepId]] = {}
    for step in steps.values():
        for way in ways_on(step):
            before.setdefault(way, []).append(step.id)
    ending = _reached(
        [step.id for step in steps.values() if ends_here(step)], lambda here: before.get(here, [])
    )
    onward = _reached([chart.start], lambda here: ways_on(steps[here]) if here in steps else ())
    for step in steps.values():
        if step.id in onward and step.id not in ending:
            message = f"from the step {step.id!r} no way leads to an end"
            return Problem(step.place.key, NAME, message, "let one of its ways reach a stop", SEVERITY)
    return None


def _questions_only(steps: _Steps) -> Problem | None:
    from graphlib import CycleError, TopologicalSorter  # noqa: PLC0415  (few rulesets hold charts)

    asks = {step.id: ways_on(step) for step in steps.values() if isinstance(step, AskStep)}
    sorter = TopologicalSorter({here: [way for way in ways if way in asks] for here, ways in asks.items()})
    try:
        sorter.prepare()
    except CycleError as error:
        loop: list[ChartStepId] = error.args[1]
        first = min((steps[here] for here in loop), key=lambda step: step.place.key)
        round_trip = " and ".join(repr(here) for here in sorted(set(loop)))
        message = (
            f"the questions {round_trip} lead round to one another"
            if len(set(loop)) > 1
            else (f"the question {round_trip} leads to itself")
        )
        return Problem(first.place.key, NAME, message, "put a remedy between them, or a stop", SEVERITY)
    return None


def _reached(
    begin: Iterable[ChartStepId], ways: Callable[[ChartStepId], Iterable[ChartStepId]]
) -> frozenset[ChartStepId]:
    reached: set[ChartStepId] = set()
    ahead = list(begin)
    while ahead:
        here = ahead.pop()
        if here not in reached:
            reached.add(here)
            ahead += ways(here)
    return frozenset(reached)
