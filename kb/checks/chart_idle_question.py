"""Finds questions of a chart whose answer makes no difference."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import AskStep, Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("chart-idle-question")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each question from which every answer leads to the same step."""
    for chart in ruleset.charts:
        for step in chart.steps:
            if not isinstance(step, AskStep) or step.yes is None:
                continue
            if step.yes == step.no == step.slightly and step.unsure in {None, step.yes}:
                message = f"whatever the answer to {step.id!r}, {step.yes!r} comes next"
                hint = "lead one answer elsewhere, or take the question out"
                yield Found(chart, Problem(step.place.key, NAME, message, hint, SEVERITY))
