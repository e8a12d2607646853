"""Finds charts that ask and never do anything."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import AskStep, DoStep, Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("chart-without-remedy")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each chart with a question and no operation."""
    for chart in ruleset.charts:
        asks = any(isinstance(step, AskStep) for step in chart.steps)
        if asks and not any(isinstance(step, DoStep) for step in chart.steps):
            message = f"the chart {chart.id!r} asks, and never does anything"
            hint = "add a step with do, or draw what follows from the answers"
            yield Found(chart, Problem(chart.place.key, NAME, message, hint, SEVERITY))
