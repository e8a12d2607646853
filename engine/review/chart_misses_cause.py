"""Finds charts that ask about a cause and on which no way leads to what mends it.

A chart need not treat everything. But where it asks what a cause mostly shows, a reed that has the
cause comes there, answers yes, and goes on unmended.
"""

from collections.abc import Iterable, Iterator
from typing import Final

from engine.chart import ways_of
from engine.chartwalk import ChartStep
from engine.review.sample import MOSTLY, Sample
from engine.tree import reading_order
from kb.checks.found import Found
from kb.ids import CauseId, ChartStepId, RemedyId
from kb.model import AskStep, Chart, DoStep, Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("chart-misses-cause")
NAMED: Final = 5
"""Causes told by name; of more, only how many."""


def judge(sample: Sample) -> Iterator[Found]:
    """Point at each chart that leaves causes out, with all that it leaves out in one sentence."""
    ruleset = sample.ruleset
    mended = _mended(ruleset, (operation.id for operation in ruleset.operations))
    for chart in ruleset.charts:
        steps = _reached(chart)
        asked = {step.finding for step in steps if isinstance(step, AskStep)}
        done = _mended(ruleset, (step.remedy for step in steps if isinstance(step, DoStep)))
        left = [
            cause
            for cause in ruleset.causes
            if cause.id in mended - done
            and any(show.finding in asked and show.strength >= MOSTLY for show in cause.shows)
        ]
        if not left:
            continue
        left.sort(key=lambda cause: (-cause.how_common, cause.id))
        names = ", ".join(repr(cause.id) for cause in left[:NAMED])
        more = f" and {len(left) - NAMED} more" if len(left) > NAMED else ""
        missed = {cause.id for cause in left}
        reeds = sum(not missed.isdisjoint(reed.hidden) for reed in sample.reeds)
        message = (
            f"this chart asks about what {names}{more} mostly shows and never comes to what mends it; "
            f"{reeds} of {len(sample.reeds)} virtual reeds had {'it' if len(left) == 1 else 'one of them'}"
        )
        hint = "add a way to what mends it, or allow this and say for what the chart is meant"
        yield Found(chart, Problem(chart.place.key, NAME, message, hint, Severity.WARNING))


def _mended(ruleset: Ruleset, operations: Iterable[RemedyId]) -> set[CauseId]:
    return {effect.cause for id_ in operations for effect in ruleset.operation[id_].cures}


def _reached(chart: Chart) -> tuple[ChartStep, ...]:
    """Give the steps to which a way leads."""
    steps = {step.id: step for step in chart.steps}

    def following(id_: ChartStepId) -> tuple[ChartStepId, ...]:
        return tuple(to for to in ways_of(steps[id_]) if to is not None)

    return tuple(steps[id_] for id_ in reading_order(chart.start, following))
