"""All questions about behaviour, by name, and how they are asked.

The names, severities and pages stand in `kb.checks.catalogue`, which may not import the engine; a
test compares the two.
"""

from collections.abc import Callable, Iterator
from typing import Final, NamedTuple

from engine.review import (
    beaten_remedy,
    chart_misses_cause,
    foregone_symptom,
    hasty_chart,
    hopeless_cause,
    idle_question,
    remedies_in_circles,
    twin_causes,
)
from engine.review.sample import Sample
from kb.checks.found import Found
from kb.problem import CheckName


class Question(NamedTuple):
    """One question about behaviour."""

    name: CheckName
    judge: Callable[[Sample], Iterator[Found]]


QUESTIONS: Final[tuple[Question, ...]] = (
    Question(twin_causes.NAME, twin_causes.judge),
    Question(beaten_remedy.NAME, beaten_remedy.judge),
    Question(remedies_in_circles.NAME, remedies_in_circles.judge),
    Question(foregone_symptom.NAME, foregone_symptom.judge),
    Question(hasty_chart.NAME, hasty_chart.judge),
    Question(chart_misses_cause.NAME, chart_misses_cause.judge),
    Question(idle_question.NAME, idle_question.judge),
    Question(hopeless_cause.NAME, hopeless_cause.judge),
)
"""The quick ones first, so that whoever interrupts has their answers."""


def review(sample: Sample) -> Iterator[tuple[CheckName, tuple[Found, ...]]]:
    """Ask each question in turn, and give its answer when it is there."""
    for question in QUESTIONS:
        sample.told(question.name)
        yield question.name, tuple(question.judge(sample))
