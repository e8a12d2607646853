"""Two steps ahead over {ask, do, rest, stop}, with the best fixed sequence as the value beyond.

(Expected cost of repair: D. Heckerman, J. Breese and K. Rommelse, Decision-theoretic
troubleshooting, CACM 38(3), 1995. Partial two-step look-ahead: F. Jensen and others, The SACSO
methodology for troubleshooting complex systems, AI EDAM, 2001.)

Candidates are screened first, by what they are worth one step ahead, to the numbers in `Budget`.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Final

from engine.contexts import Context
from engine.sequence import Option, Sequences
from engine.sweep import WIDEST

Order = tuple[int, ...]
"""A sequence of options."""
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
    widest: int = WIDEST
    """Sets in one table of the belief, beyond which the oldest rounds are folded."""


SAME_COST: Final = 9
"""Digits of a minute in which the costs of two questions agree that are as good as each other."""


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

    def present(self) -> Context:
        """Give the case as it is, nothing more asked or done."""
        return _Look(self).context(_Asked())


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
    near = look.near()
    valued = sequences.value(list(near.values()))
    single = dict(zip(near, valued.chance * valued.value, strict=True))
    keen = _keen(choices, single, budget.questions)
    followed = sorted(choices.first, key=lambda option: choices.options[option].cost + single[_Done(option)])
    far = look.far(keen, followed[: budget.followed])
    # Every context tries the same orders, lest asking seem to pay only because it is tried harder.
    # Each operation alone is among them: the right one may begin none of the others.
    alone = ((option,) for option in range(len(choices.options)))
    pool = tuple(dict.fromkeys((*_most_frequent(valued.orders, budget.orders), *alone)))
    followed_up = dict(
        zip((*near, *far), sequences.follow_best([*near.values(), *far.values()], pool), strict=True)
    )
    outcomes = _Outcomes(
        choices,
        keen,
        chance=dict(zip(near, valued.chance, strict=True)),
        worth={key: min(worth, single.get(key, worth)) for key, worth in followed_up.items()},
    )
    done = tuple((option, outcomes.cost_of_doing(option)) for option in followed[: budget.followed])
    stop = float(valued.stop[0])
    without = min([stop, *(cost for _, cost in done)])
    asked = [
        (outcomes.begins_with(question), outcomes.cost_of_asking(question, without)) for question in keen
    ]
    return Weighing(stop, _cheapest(asked), done)


@dataclass(frozen=True, slots=True)
class _Asked:
    """Questions by number, with whether they showed."""

    answers: tuple[tuple[int, bool], ...] = ()


@dataclass(frozen=True, slots=True)
class _Done:
    """An option that did not clear the trouble, and what was asked after it."""

    option: int
    answers: tuple[tuple[int, bool], ...] = ()


_Key = _Asked | _Done


@dataclass(frozen=True, slots=True)
class _Outcomes:
    """What may come of the next step and the one after it: chances, and chances times worth."""

    choices: Choices
    keen: tuple[int, ...]
    chance: Mapping[_Key, float]
    worth: Mapping[_Key, float]

    def cost_of_doing(self, option: int) -> float:
        """Give the expected minutes of doing `option` and then, if need be, asking once."""
        best = self.worth[_Done(option)]
        for other in self.keen:
            then = sum(self.worth[_Done(option, ((other, shows),))] for shows in (False, True))
            best = min(best, self.chance[_Done(option)] * self.choices.questions[other].minutes + then)
        return float(self.choices.options[option].cost + best)

    def cost_of_asking(self, question: int, without: float) -> float:
        """Give the expected minutes of asking `question`.

        `without` are those of the best step that asks nothing. Two questions see further than an
        operation and a question: only one that pays by itself is credited with a second.
        """
        minutes = self.choices.questions[question].minutes
        alone = minutes + sum(self.worth[_Asked(((question, shows),))] for shows in (False, True))
        if alone >= without:
            return float(alone)
        return float(minutes + sum(self._with_second(question, shows) for shows in (False, True)))

    def _with_second(self, question: int, shows: bool) -> float:  # noqa: FBT001 - an answer
        key = _Asked(((question, shows),))
        best = self.worth[key]
        for other in self.keen:
            if other != question:
                then = sum(self.worth[_both((question, shows), (other, also))] for also in (False, True))
                best = min(best, self.chance[key] * self.choices.questions[other].minutes + then)
        return best

    def begins_with(self, question: int) -> int:
        """Give the finding to ask first: the one likeliest, per minute, to settle that any shows."""
        showing = {
            one.findings[0]: self.chance[_Asked(((number, True),))] / max(one.minutes, LEAST_MINUTES)
            for number, one in enumerate(self.choices.questions)
            if len(one.findings) == 1
        }
        findings = self.choices.questions[question].findings
        return max(findings, key=lambda finding: (showing.get(finding, 0.0), -finding))


def _both(one: tuple[int, bool], other: tuple[int, bool]) -> _Asked:
    return _Asked((one, other) if one < other else (other, one))


def _most_frequent(orders: Sequence[Order], most: int) -> tuple[Order, ...]:
    """Choose the orders that were found most often, the first found of equals first."""
    return tuple(order for order, _ in Counter(order for order in orders if order).most_common(most))


def _keen(choices: Choices, single: Mapping[_Key, float], most: int) -> tuple[int, ...]:
    """Choose the questions to look at two steps ahead: all that are asked together, and the best others."""
    questions = choices.questions
    cost = [
        question.minutes + sum(single[_Asked(((number, shows),))] for shows in (False, True))
        for number, question in enumerate(questions)
    ]
    # Rounded: sums differ in their last digit, and which of two equal questions is looked at must not.
    by_cost = sorted(range(len(questions)), key=lambda number: (round(cost[number], SAME_COST), number))
    together = [number for number in by_cost if len(questions[number].findings) > 1][: most // 2]
    alone = [number for number in by_cost if len(questions[number].findings) == 1]
    return tuple(sorted([*together, *alone[: most - len(together)]]))


def _cheapest(asked: Sequence[tuple[int, float]]) -> tuple[tuple[int, float], ...]:
    """Keep for each finding the lowest cost of asking it first."""
    best: dict[int, float] = {}
    for finding, cost in asked:
        best[finding] = min(cost, best.get(finding, cost))
    return tuple(best.items())


class _Look:
    """Builds the contexts that lie one and two steps ahead."""

    def __init__(self, choices: Choices) -> None:
        self._choices = choices

    def near(self) -> dict[_Key, Context]:
        """Give the present, and the contexts one step ahead."""
        asked = [
            _Asked(((number, shows),))
            for number in range(len(self._choices.questions))
            for shows in (False, True)
        ]
        keys: list[_Key] = [_Asked(), *asked, *map(_Done, self._choices.first)]
        return {key: self.context(key) for key in keys}

    def far(self, keen: Sequence[int], followed: Sequence[int]) -> dict[_Key, Context]:
        """Give the contexts two steps ahead: two questions, or an option and a question."""
        both = (False, True)
        keys: list[_Key] = [
            _both((one, a), (other, b)) for one, other in combinations(keen, 2) for a in both for b in both
        ]
        keys += [_Done(option, ((number, a),)) for option in followed for number in keen for a in both]
        return {key: self.context(key) for key in keys}

    def context(self, key: _Key) -> Context:
        """Give the context that `key` names."""
        questions, when = self._choices.questions, int(isinstance(key, _Done))
        asked = tuple((questions[number].bits, when, shows) for number, shows in key.answers)
        allowed = self._allowed(key.answers)
        if isinstance(key, _Asked):
            return Context(asked=asked, allowed=allowed)
        column = self._choices.options[key.option].column
        return Context(failed=(column,), asked=asked, done=1 << key.option, allowed=allowed)

    def _allowed(self, answers: Sequence[tuple[int, bool]]) -> int:
        """Give the options that may be used once questions were answered."""
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
