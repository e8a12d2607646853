"""Two steps ahead over {ask, do, rest, stop}, with the best fixed sequence as the value beyond.

(Expected cost of repair: D. Heckerman, J. Breese and K. Rommelse, Decision-theoretic
troubleshooting, CACM 38(3), 1995. Partial two-step look-ahead: F. Jensen and others, The SACSO
methodology for troubleshooting complex systems, AI EDAM, 2001.)

Candidates are screened first, by what they are worth one step ahead, to the numbers in `Budget`.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Final

import numpy as np

from engine.sequence import Context, Option, Sequences

Order = tuple[int, ...]
LEAST_MINUTES: Final = 1e-6


@dataclass(frozen=True, slots=True)
class Budget:
    """How many candidates are looked at."""

    screened: int = 14
    """Questions valued one step ahead."""
    questions: int = 6
    """Questions looked at two steps ahead."""
    operations: int = 8
    """Operations that sequences may use."""
    followed: int = 5
    """Operations looked at two steps ahead."""
    symptoms: int = 6
    """Active symptoms weighed together; of more, those that the likeliest causes show."""
    width: int = 2048
    """Sets in one table, beyond which only the active symptoms are weighed exactly in looking ahead,
    and all else that was said through the chances that it left."""
    orders: int = 10
    """Orders of operations that every context tries."""


@dataclass(frozen=True, slots=True)
class Question:
    """Findings that may be asked: one, or all that an operation still waits for, taken together."""

    findings: tuple[int, ...]
    """By their numbers among the watched."""
    minutes: float
    forbids: int
    """Options, as bits, that are ruled out when any of the findings shows."""

    @property
    def bits(self) -> int:
        """The findings as bits."""
        return sum(1 << number for number in self.findings)


@dataclass(frozen=True, slots=True)
class Choices:
    """What the maker may do now."""

    questions: tuple[Question, ...]
    options: tuple[Option, ...]
    """The operations; one that still waits for answers is followed by its stand-in."""
    first: tuple[int, ...]
    """Options that may be the next step."""
    waits: tuple[int, ...]
    """For each option the watched findings, as bits, that must be answered no before it is free."""
    stands_in: tuple[bool, ...]
    """For each option whether it only stands in for another while that waits."""


@dataclass(frozen=True, slots=True)
class Weighing:
    """Expected minutes of each next step."""

    stop: float
    asked: tuple[tuple[int, float], ...]
    """(watched finding, cost of asking it first)."""
    done: tuple[tuple[int, float], ...]
    """(option, cost)."""


def weigh(sequences: Sequences, choices: Choices, budget: Budget) -> Weighing:
    """Weigh every next step."""
    look = _Look(choices)
    base = Context(allowed=look.allowed(()))
    singles = [
        replace(base, asked=((question.bits, 0, shows),), allowed=look.allowed(((number, shows),)))
        for number, question in enumerate(choices.questions)
        for shows in (False, True)
    ]
    tails = [look.after(option, ()) for option in choices.first]
    valued = sequences.value([base, *singles, *tails])
    one_ahead = [
        question.minutes
        + float(sum(valued.chance[place] * valued.value[place] for place in (1 + 2 * number, 2 + 2 * number)))
        for number, question in enumerate(choices.questions)
    ]
    tail_at = 1 + len(singles)
    do_ahead = [
        choices.options[option].cost + valued.chance[tail_at + place] * valued.value[tail_at + place]
        for place, option in enumerate(choices.first)
    ]
    keen = _keen(choices.questions, one_ahead, budget.questions)
    followed = tuple(sorted(range(len(do_ahead)), key=lambda n: do_ahead[n])[: budget.followed])
    # Every context tries the same orders, lest asking seem to pay only because it is tried harder.
    pool = _most_frequent(valued.orders, budget.orders)
    pairs, later = look.pairs(keen), look.later([choices.first[place] for place in followed], keen)
    near = (base, *singles, *tails)
    followed_up = sequences.follow_best([*near, *pairs.values(), *later.values()], pool)
    worth = np.minimum(followed_up[: len(near)], valued.chance * valued.value)
    pair_worth = dict(zip(pairs, followed_up[len(near) :], strict=False))
    later_worth = dict(zip(later, followed_up[len(near) + len(pairs) :], strict=True))
    singly = {
        question.findings[0]: valued.chance[2 + 2 * number] / max(question.minutes, LEAST_MINUTES)
        for number, question in enumerate(choices.questions)
        if len(question.findings) == 1
    }
    asked = []
    for number in keen:
        question = choices.questions[number]
        total = question.minutes
        for shows in (False, True):
            place = 1 + 2 * number + shows
            best = float(worth[place])
            for other in keen:
                if other != number:
                    second = valued.chance[place] * choices.questions[other].minutes + sum(
                        pair_worth[_pair(number, shows, other, then)] for then in (False, True)
                    )
                    best = min(best, float(second))
            total += best
        asked.append((_first_of(question, singly), float(total)))
    done = []
    for place in followed:
        option = choices.first[place]
        at = tail_at + place
        best = float(worth[at])
        for number in keen:
            second = valued.chance[at] * choices.questions[number].minutes + sum(
                later_worth[option, number, then] for then in (False, True)
            )
            best = min(best, float(second))
        done.append((option, float(choices.options[option].cost + best)))
    # Two questions see further than an operation and a question: only one that pays by itself, beside
    # what can be done without it, is credited with the second.
    without = min([float(valued.stop[0]), *(cost for _, cost in done)])
    settled = [
        (finding, cost if alone < without else max(cost, alone))
        for (finding, cost), alone in zip(asked, (one_ahead[number] for number in keen), strict=True)
    ]
    return Weighing(float(valued.stop[0]), _cheapest(settled), tuple(done))


def _most_frequent(orders: Sequence[Order], most: int) -> tuple[Order, ...]:
    """Choose the orders that were found most often, the first found of equals first."""
    return tuple(order for order, _ in Counter(order for order in orders if order).most_common(most))


def _keen(questions: Sequence[Question], one_ahead: Sequence[float], most: int) -> tuple[int, ...]:
    """Choose the questions to look at two steps ahead: all that are asked together, and the best others."""
    together = [number for number, question in enumerate(questions) if len(question.findings) > 1]
    by_worth = sorted(range(len(questions)), key=lambda number: one_ahead[number])
    alone = [number for number in by_worth if number not in together]
    chosen = sorted(together, key=lambda number: one_ahead[number])[: most // 2]
    return tuple(sorted([*chosen, *alone[: most - len(chosen)]]))


def _first_of(question: Question, showing: Mapping[int, float]) -> int:
    """Give the finding to begin with: the one likeliest, per minute, to settle that any shows."""
    return max(question.findings, key=lambda finding: (showing.get(finding, 0.0), -finding))


def _cheapest(asked: Sequence[tuple[int, float]]) -> tuple[tuple[int, float], ...]:
    """Keep for each finding the lowest cost of asking it first."""
    best: dict[int, float] = {}
    for finding, cost in asked:
        best[finding] = min(cost, best.get(finding, cost))
    return tuple(best.items())


def _pair(one: int, shows: bool, other: int, then: bool) -> tuple[int, bool, int, bool]:  # noqa: FBT001 - two answers
    return (one, shows, other, then) if one < other else (other, then, one, shows)


class _Look:
    """Builds the contexts that lie one and two steps ahead."""

    def __init__(self, choices: Choices) -> None:
        self._choices = choices

    def allowed(self, answers: Sequence[tuple[int, bool]]) -> int:
        """Give the options that may be used once questions were answered (question, showed)."""
        cleared = forbidden = 0
        for number, shows in answers:
            if shows:
                forbidden |= self._choices.questions[number].forbids
            else:
                cleared |= self._choices.questions[number].bits
        allowed = 0
        for option, waits in enumerate(self._choices.waits):
            is_free = waits & ~cleared == 0
            if is_free is not self._choices.stands_in[option]:
                allowed |= 1 << option
        return allowed & ~forbidden

    def after(self, option: int, answers: Sequence[tuple[int, bool]]) -> Context:
        """Give the context in which `option` was done and did not clear the trouble."""
        one = self._choices.options[option]
        return Context(failed=(one.column,), done=1 << option, allowed=self.allowed(answers))

    def pairs(self, keen: Sequence[int]) -> dict[tuple[int, bool, int, bool], Context]:
        """Give the contexts of two questions answered, by question and answer."""
        questions = self._choices.questions
        return {
            (one, a, other, b): Context(
                asked=((questions[one].bits, 0, a), (questions[other].bits, 0, b)),
                allowed=self.allowed(((one, a), (other, b))),
            )
            for one, other in combinations(sorted(keen), 2)
            for a in (False, True)
            for b in (False, True)
        }

    def later(self, options: Sequence[int], keen: Sequence[int]) -> dict[tuple[int, int, bool], Context]:
        """Give the contexts of an operation done without success and a question answered after it."""
        return {
            (option, number, shows): replace(
                self.after(option, ((number, shows),)),
                asked=((self._choices.questions[number].bits, 1, shows),),
            )
            for option in options
            for number in keen
            for shows in (False, True)
        }
