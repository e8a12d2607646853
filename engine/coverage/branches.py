"""Which ways of a teacher's chart the trials go.

No advice goes by a chart, so no trial can fail for the loss of a way. What can be said is whether the
answers of any trial, taken in the chart's own order, lead along it.
"""

from collections.abc import Iterable, Iterator

from engine.case import Case
from engine.coverage.parts import Part, Sort
from kb.ids import ChartStepId
from kb.model import Answer, AskStep, Chart, DoStep, Ruleset, StopStep

Way = tuple[ChartStepId, Answer]
_ANSWERS = (Answer.YES, Answer.SLIGHTLY, Answer.NO, Answer.UNSURE)


def branches_of(ruleset: Ruleset) -> tuple[Part, ...]:
    """Give every way on from a question that a chart writes down, in the order of the file."""
    found = [part for chart in ruleset.charts for part in _branches(chart)]
    return tuple(sorted(found, key=lambda part: (part.span, part.of, part.to)))


def walked(ruleset: Ruleset, cases: Iterable[Case]) -> frozenset[tuple[str, str]]:
    """Give the ways that any of `cases` goes, as (chart, way) in the words of `branches_of`."""
    every = tuple(cases)
    return frozenset(
        (chart.id, _named(chart, way))
        for chart in ruleset.charts
        for case in every
        for way in ways(chart, case)
    )


def ways(chart: Chart, case: Case) -> Iterator[Way]:
    """Walk a chart by what a case says, as far as it says it."""
    steps = {step.id: step for step in chart.steps}
    rounds = iter(case.rounds)
    now = next(rounds)
    at: ChartStepId | None = chart.start
    seen: set[tuple[ChartStepId, int]] = set()
    number = 0
    while at is not None and (at, number) not in seen:
        seen.add((at, number))
        match steps[at]:
            case AskStep() as step:
                answer = now.answer(step.finding)
                if answer is None:
                    return
                yield step.id, answer
                at = _onward(step, answer)
            case DoStep() as done:
                if now.gap is None or now.gap.operation != done.remedy:
                    return
                now = next(rounds)
                number += 1
                at = done.then
            case StopStep():
                return


def _branches(chart: Chart) -> Iterator[Part]:
    for step in chart.steps:
        if isinstance(step, AskStep):
            for answer in _ANSWERS:
                written = step.place.value.get(answer)
                if written is not None and written.data is not None:
                    span = step.place.key_of(answer)
                    yield Part(Sort.BRANCH, chart.id, f"{step.id}: {answer}", span)


def _named(chart: Chart, way: Way) -> str:
    """Give a way as it is written: `slightly` goes the way of yes unless it has one of its own."""
    at, answer = way
    step = next(step for step in chart.steps if step.id == at)
    own = step.place.value.get(answer)
    if answer is Answer.SLIGHTLY and (own is None or own.data is None):
        answer = Answer.YES
    return f"{at}: {answer}"


def _onward(step: AskStep, answer: Answer) -> ChartStepId | None:
    match answer:
        case Answer.YES:
            return step.yes
        case Answer.SLIGHTLY:
            return step.slightly
        case Answer.NO:
            return step.no
        case Answer.UNSURE:
            return step.unsure
