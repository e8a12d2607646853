"""Finds questions of a chart that were answered already on the way to them."""

from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Final

from kb.checks.found import Found
from kb.checks.ways import ways_on
from kb.ids import ChartStepId
from kb.model import AskStep, Chart, Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("chart-asks-twice")
SEVERITY: Final = Severity.WARNING


_STEPS: Final = 20_000
"""Steps walked in one run; a chart made to hurt has more ways than anyone will follow."""


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each question that can be met again with no remedy in between."""
    for chart in ruleset.charts:
        asks = {step.id: step for step in chart.steps if isinstance(step, AskStep)}
        counted = Counter(step.finding for step in asks.values())
        told: set[ChartStepId] = set()
        left = _STEPS
        for step in asks.values():
            if counted[step.finding] < 2:
                continue
            again, walked = _again(step, asks, left)
            left -= walked
            if again is not None and again.id not in told:
                told.add(again.id)
                yield _twice(chart, again, step)


def _again(step: AskStep, asks: Mapping[ChartStepId, AskStep], most: int) -> tuple[AskStep | None, int]:
    """Give the first question after an answer to `step` that asks the same, and how many were looked at."""
    ahead = [way for way in (step.yes, step.slightly, step.no) if way is not None]
    seen: set[ChartStepId] = set()
    while ahead and len(seen) < most:
        here = asks.get(ahead.pop())
        if here is None or here.id in seen:
            continue
        seen.add(here.id)
        if here.finding == step.finding and here is not step:
            return here, len(seen)
        ahead += ways_on(here)
    return None, len(seen)


def _twice(chart: Chart, again: AskStep, first: AskStep) -> Found:
    message = f"{again.id!r} asks {again.finding!r} again, which {first.id!r} asked with no remedy since"
    hint = f"go on from {first.id!r} by its answer"
    return Found(chart, Problem(again.place.of("ask"), NAME, message, hint, SEVERITY))
