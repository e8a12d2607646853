"""The smallest case that still shows something: answers, readings and rounds are dropped while it holds.

Greedy, in halves first and then one by one (A. Zeller and R. Hildebrandt, Simplifying and isolating
failure-inducing input, 2002, from memory): the result cannot be made smaller by dropping any one
thing more, which is not to say that there is no other small case. After `MOST` tries it is left as
small as it is by then.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import count
from typing import Final

from engine.case import Case
from kb.model import Answer

Shows = Callable[[Case], bool]
"""Whether a case still shows what is looked for."""
MOST: Final = 80
"""Smaller cases tried; each is weighed by two rulesets, which takes its time."""


@dataclass(frozen=True, slots=True)
class _Part:
    """One answer or reading."""

    round: int
    id: str
    is_no: bool
    is_reading: bool = False


def smallest(case: Case, shows: Shows) -> Case:
    """Drop from `case` what is not needed for `shows`, which holds of it."""
    tries = count()

    def still(smaller: Case) -> bool:
        return next(tries) < MOST and shows(smaller)

    return _smallest(case, still)


def _smallest(case: Case, shows: Shows) -> Case:
    case = _fewer_rounds(_later_rounds(case, shows), shows)
    parts = _parts(case)
    telling = [part for part in parts if not part.is_no]
    if len(telling) < len(parts) and shows(_only(case, telling)):
        parts = telling  # most of what is answered is no, and most of that does not matter
    size = max(len(parts) // 2, 1)
    while parts:
        left = _without_pieces(case, parts, size, shows)
        if size == 1 and len(left) == len(parts):
            break
        parts = left
        size = max(min(size, len(parts)) // 2, 1)
    return _plainer(_only(case, parts), shows)


def _later_rounds(case: Case, shows: Shows) -> Case:
    """Give the last few rounds alone, as few as will do."""
    for first in range(len(case.rounds) - 1, 0, -1):
        later = Case(case.rounds[first:])
        if shows(later):
            return later
    return case


def _fewer_rounds(case: Case, shows: Shows) -> Case:
    """Leave out earlier rounds that do not matter, each with the gap that ended it."""
    for number in range(len(case.rounds) - 2, -1, -1):
        left = Case((*case.rounds[:number], *case.rounds[number + 1 :]))
        if shows(left):
            case = left
    return case


def _parts(case: Case) -> list[_Part]:
    """Give what can be dropped, what says no first."""
    found = [
        _Part(number, id_, answer is Answer.NO)
        for number, one in enumerate(case.rounds)
        for id_, answer in one.answers
    ]
    found += [
        _Part(number, id_, is_no=False, is_reading=True)
        for number, one in enumerate(case.rounds)
        for id_, _ in one.readings
    ]
    return sorted(found, key=lambda part: not part.is_no)


def _without_pieces(case: Case, parts: list[_Part], size: int, shows: Shows) -> list[_Part]:
    """Drop piece after piece of `size` parts, where that still shows it."""
    at = 0
    while at < len(parts):
        left = parts[:at] + parts[at + size :]
        if shows(_only(case, left)):
            parts = left
        else:
            at += size
    return parts


def _only(case: Case, parts: Sequence[_Part]) -> Case:
    kept = {(part.round, part.id, part.is_reading) for part in parts}
    return Case(
        tuple(
            replace(
                one,
                answers=tuple(pair for pair in one.answers if (number, pair[0], False) in kept),
                readings=tuple(pair for pair in one.readings if (number, pair[0], True) in kept),
            )
            for number, one in enumerate(case.rounds)
        )
    )


def _plainer(case: Case, shows: Shows) -> Case:
    """Take a case of one round back to the first sitting, if that still shows it."""
    if len(case.rounds) == 1 and case.sitting > 1 and shows(first := case.with_sitting(1)):
        return first
    return case
