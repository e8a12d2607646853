"""Finds questions of a chart with an answer that leads nowhere."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import AskStep, Chart, Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("chart-answer-missing")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each question without yes or no, and without unsure where others have it."""
    for chart in ruleset.charts:
        asks = [step for step in chart.steps if isinstance(step, AskStep)]
        with_unsure = any(step.unsure is not None for step in asks)
        for step in asks:
            ways = (("yes", step.yes), ("no", step.no), *((("unsure", step.unsure),) if with_unsure else ()))
            missing = [word for word, way in ways if way is None]
            if missing:
                yield _missing(chart, step, missing)


def _missing(chart: Chart, step: AskStep, words: list[str]) -> Found:
    said = " and ".join(words)
    message = f"{step.id!r} does not say where {said} leads"
    hint = f"write {words[0]}: and a step; where the chart ends there, a step with stop"
    return Found(chart, Problem(step.place.key, NAME, message, hint, SEVERITY))
