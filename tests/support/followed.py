"""What it costs to follow the engine's advice on tiny problems: for laws and benches.

Apart from `tests.support.optimum`, which takes nothing from the engine.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from engine.advice import advise
from engine.case import Case
from engine.step import Kind
from kb.model import Ruleset
from tests.support.optimum import STOP, Action, Solved, cost_of_policy


@dataclass(frozen=True, slots=True)
class Played:
    """A problem, and what following the advice costs in it."""

    problem: Solved
    cost: float

    @property
    def above(self) -> float:
        """How far above the optimum, as a share of it."""
        return self.cost / self.problem.least - 1

    @property
    def symptoms(self) -> int:
        """How many symptoms it has."""
        return len(self.problem.desk.symptoms)


def advised(ruleset: Ruleset, case: Case) -> Action:
    """Give the engine's step as a move on a tiny problem, which knows no rests."""
    step = advise(ruleset, case).step
    assert step is not None
    assert step.kind is not Kind.REST
    return STOP if step.kind is Kind.STOP else (str(step.kind), step.id)


def played(problems: Iterable[Solved]) -> Iterator[Played]:
    """Follow the advice through every answer that could come, problem by problem."""
    for problem in problems:
        yield Played(problem, cost_of_policy(problem.desk, advised))


def mean(numbers: list[float]) -> float:
    """Give the mean."""
    return sum(numbers) / len(numbers)
