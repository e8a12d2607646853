"""Which steps of a chart follow which. Shared by the checks on charts."""

from collections.abc import Mapping

from kb.ids import ChartStepId
from kb.model import AskStep, DoStep, StopStep


def ways_on(step: AskStep | DoStep | StopStep) -> tuple[ChartStepId, ...]:
    """Give the steps that may come next; where the chart ends there is none."""
    ways: tuple[ChartStepId | None, ...] = ()
    if isinstance(step, AskStep):
        ways = (step.yes, step.no, step.slightly, step.unsure)
    elif isinstance(step, DoStep):
        ways = (step.then,)
    return tuple(way for way in ways if way is not None)


def ends_here(step: AskStep | DoStep | StopStep) -> bool:
    """Whether a chart can end at `step`: it stops, or leaves a way open that leads nowhere."""
    match step:
        case AskStep():
            return step.yes is None or step.no is None
        case DoStep():
            return step.then is None
        case StopStep():
            return True


def reached_from(
    start: ChartStepId, steps: Mapping[ChartStepId, AskStep | DoStep | StopStep]
) -> frozenset[ChartStepId]:
    """Give the steps that can come after `start`; itself only when a way leads back to it."""
    reached: set[ChartStepId] = set()
    ahead = list(ways_on(steps[start])) if start in steps else []
    while ahead:
        here = ahead.pop()
        if here in steps and here not in reached:
            reached.add(here)
            ahead += ways_on(steps[here])
    return frozenset(reached)
