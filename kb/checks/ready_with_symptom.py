"""Finds charts that call a reed ready because a symptom is there."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import AskStep, Ending, Ruleset, StopStep
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("ready-with-symptom")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each yes to a symptom that leads straight to `stop: ready`, and the no does not."""
    for chart in ruleset.charts:
        ready = {
            step.id for step in chart.steps if isinstance(step, StopStep) and step.ending is Ending.READY
        }
        for step in chart.steps:
            if not isinstance(step, AskStep) or step.yes not in ready or step.no in ready:
                continue
            if ruleset.finding[step.finding].priority is not None:
                message = f"a yes to {step.finding!r} is trouble, and leads to ready"
                hint = "have yes and no changed places?"
                yield Found(chart, Problem(step.place.of("yes"), NAME, message, hint, SEVERITY))
