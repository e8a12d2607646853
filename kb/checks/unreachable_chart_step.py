"""Finds steps of a chart to which no way leads."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.checks.ways import ways_on
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("unreachable-chart-step")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each step that cannot be reached from the chart's start."""
    for chart in ruleset.charts:
        steps = {step.id: step for step in chart.steps}
        reached = set()
        ahead = [chart.start]
        while ahead:
            here = ahead.pop()
            if here in steps and here not in reached:
                reached.add(here)
                ahead += ways_on(steps[here])
        for step in chart.steps:
            if step.id not in reached:
                message = f"no way leads to the step {step.id!r}"
                hint = f"let a step of {chart.id!r} go there, or take it out"
                yield Found(chart, Problem(step.place.key, NAME, message, hint, SEVERITY))
