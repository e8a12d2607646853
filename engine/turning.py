"""What would turn the advice: the smallest change of answers after which another step comes first.

Computed on request and outside the step's own time, since every candidate is a weighing of its own.
Changes of one answer are tried first, the nearest before the farther (yes to slightly before yes to
no), then changes of two, up to a stated number of weighings. That the trouble being worked on might
not be there at all is no news, and is not tried.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, product
from types import MappingProxyType
from typing import Final

from engine.advice import advise
from engine.case import Case
from engine.refusal import TooWideError
from engine.step import Step
from kb.ids import FindingId
from kb.model import Answer, Ruleset

MOST = 120
"""Cases weighed before the search is given up."""
LARGEST = 2
"""Answers changed at once at most."""

_NEAR: Final[Mapping[Answer, tuple[Answer, ...]]] = MappingProxyType(
    {
        Answer.YES: (Answer.SLIGHTLY, Answer.UNSURE, Answer.NO),
        Answer.SLIGHTLY: (Answer.YES, Answer.UNSURE, Answer.NO),
        Answer.NO: (Answer.UNSURE, Answer.SLIGHTLY, Answer.YES),
        Answer.UNSURE: (Answer.SLIGHTLY, Answer.YES, Answer.NO),
    }
)
"""The other answers, nearest first."""


@dataclass(frozen=True, slots=True)
class Change:
    """One answer that might have been another."""

    round: int
    """From 1."""
    finding: FindingId
    was: Answer
    instead: Answer


@dataclass(frozen=True, slots=True)
class Turn:
    """Changes which together lead to another step."""

    changes: tuple[Change, ...]
    step: Step


@dataclass(frozen=True, slots=True)
class Turning:
    """What the search found."""

    turns: tuple[Turn, ...]
    """Of the smallest size at which there are any; for each choice of answers only the nearest change."""
    weighed: int
    is_whole: bool
    """Whether every change up to `LARGEST` answers was tried, or all of the size that was found."""


def turning(ruleset: Ruleset, case: Case, *, most: int = MOST) -> Turning:
    """Find the smallest changes of answers after which the step is another.

    Raises TooWideError when the case itself cannot be weighed.
    """
    advice = advise(ruleset, case, in_full=False)
    step = advice.step
    if step is None:
        return Turning((), 0, is_whole=True)
    answers = _answers(case)
    worked_on = frozenset(
        finding.id for finding in ruleset.findings if finding.priority == advice.priority is not None
    )
    weighed = 0
    for size in range(1, LARGEST + 1):
        turns: dict[frozenset[tuple[int, FindingId]], Turn] = {}
        for changes in _changes(answers, size):
            where = frozenset((one.round, one.finding) for one in changes)
            if where in turns or any(_denies(one, worked_on) for one in changes):
                continue
            if weighed >= most:
                return Turning(tuple(turns.values()), weighed, is_whole=False)
            weighed += 1
            other = _step_of(ruleset, _changed(case, changes))
            if other is not None and (other.kind, other.id) != (step.kind, step.id):
                turns[where] = Turn(changes, other)
        if turns:
            return Turning(tuple(turns.values()), weighed, is_whole=True)
    return Turning((), weighed, is_whole=True)


def _answers(case: Case) -> tuple[Change, ...]:
    """Give every answer, the latest round first, as a change that changes nothing yet."""
    return tuple(
        Change(number, finding, answer, answer)
        for number, one in reversed(tuple(enumerate(case.rounds, 1)))
        for finding, answer in sorted(one.answers)
    )


def _changes(answers: Sequence[Change], size: int) -> Iterator[tuple[Change, ...]]:
    """Give every change of `size` answers, the nearest first."""
    ways = [
        (sum(steps), number, chosen, steps)
        for number, chosen in enumerate(combinations(answers, size))
        for steps in product(range(len(Answer) - 1), repeat=size)
    ]
    for _, _, chosen, steps in sorted(ways, key=lambda way: (way[0], way[1], way[3])):
        yield tuple(
            Change(one.round, one.finding, one.was, _NEAR[one.was][step])
            for one, step in zip(chosen, steps, strict=True)
        )


def _denies(change: Change, worked_on: frozenset[FindingId]) -> bool:
    """Whether a change says that trouble which is being worked on is not there."""
    return change.finding in worked_on and change.was.is_present and not change.instead.is_present


def _changed(case: Case, changes: Sequence[Change]) -> Case:
    for one in changes:
        case = case.with_answer_in(one.round - 1, one.finding, one.instead)
    return case


def _step_of(ruleset: Ruleset, case: Case) -> Step | None:
    """Give the step; None where the changed answers cannot all be true, or not be weighed."""
    try:
        return advise(ruleset, case, in_full=False).step
    except TooWideError:
        return None
