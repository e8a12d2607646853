"""Finds charts that do first what the ruleset says comes after."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.checks.ways import reached_from
from kb.model import Chart, DoStep, Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("chart-out-of-order")
SEVERITY: Final = Severity.WARNING


_STEPS: Final = 20_000
"""Steps walked in one run; a chart made to hurt has more ways than anyone will follow."""


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each remedy from which one of its `after` is reached, and never the other way round."""
    for chart in ruleset.charts:
        steps = {step.id: step for step in chart.steps}
        left = _STEPS
        for step in chart.steps:
            if not isinstance(step, DoStep):
                continue
            after = ruleset.operation[step.remedy].after
            if not after or left <= 0:
                continue
            onward = reached_from(step.id, steps)
            left -= len(onward)
            for earlier in after:
                places = [one.id for one in chart.steps if isinstance(one, DoStep) and one.remedy == earlier]
                before = [place for place in places if step.id in reached_from(place, steps)]
                left -= len(places) * len(steps)
                if not before and not onward.isdisjoint(places):
                    yield _reversed(chart, step, earlier)


def _reversed(chart: Chart, step: DoStep, earlier: str) -> Found:
    message = f"{step.id!r} does {step.remedy!r} before {earlier!r}, which should come first"
    hint = f"turn them round, or take {earlier!r} out of its after"
    return Found(chart, Problem(step.place.of("do"), NAME, message, hint, SEVERITY))
