"""Finds charts that do what the ruleset forbids after that answer."""

from collections.abc import Iterator, Mapping
from typing import Final

from kb.checks.found import Found
from kb.checks.ways import ways_on
from kb.ids import ChartStepId
from kb.model import AskStep, Chart, DoStep, Ruleset, StopStep
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("chart-against-unless")
SEVERITY: Final = Severity.WARNING


_STEPS: Final = 20_000
"""Steps walked in one run; a chart made to hurt has more ways than anyone will follow."""


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each remedy that is reached by a yes to one of its `unless`, with none in between."""
    for chart in ruleset.charts:
        steps = {step.id: step for step in chart.steps}
        forbidding = {
            finding
            for step in chart.steps
            if isinstance(step, DoStep)
            for finding in ruleset.operation[step.remedy].unless
        }
        told: set[ChartStepId] = set()
        left = _STEPS
        for step in chart.steps:
            if not isinstance(step, AskStep) or step.finding not in forbidding:
                continue
            for way in dict.fromkeys((step.yes, step.slightly)):
                reached = _reached(way, step, steps, left)
                left -= len(reached)
                for here in reached:
                    if here.id in told or not isinstance(here, DoStep):
                        continue
                    if step.finding in ruleset.operation[here.remedy].unless:
                        told.add(here.id)
                        yield _forbidden(chart, here, step)


def _reached(
    way: ChartStepId | None,
    asked: AskStep,
    steps: Mapping[ChartStepId, AskStep | DoStep | StopStep],
    most: int,
) -> list[AskStep | DoStep | StopStep]:
    """Give the steps that follow while nothing is done, and the first ones at which something is."""
    found: dict[ChartStepId, AskStep | DoStep | StopStep] = {}
    ahead = [way]
    while ahead and len(found) < most:
        name = ahead.pop()
        here = steps.get(name) if name is not None else None
        if here is None or here.id in found:
            continue
        found[here.id] = here
        if isinstance(here, AskStep) and here.finding != asked.finding:
            ahead += ways_on(here)
    return list(found.values())


def _forbidden(chart: Chart, here: DoStep, asked: AskStep) -> Found:
    message = f"{here.id!r} does {here.remedy!r} after a yes to {asked.finding!r}, which forbids it"
    hint = f"{here.remedy!r} has it in unless: lead that answer elsewhere"
    return Found(chart, Problem(here.place.of("do"), NAME, message, hint, SEVERITY))
