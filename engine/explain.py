"""Why a cause is believed: for each answer, its weight of evidence, exact by leaving it out.

The weight is the change of the cause's log-odds that the answer makes beside all the others
(weight of evidence: I. J. Good, Probability and the Weighing of Evidence, 1950, from memory).
"""

from dataclasses import dataclass
from math import inf, log

from engine.belief import Belief, believe
from engine.case import Case, Round
from engine.findings import chance_past
from kb.ids import CauseId, FindingId
from kb.model import Answer, QuantityRead, Ruleset


@dataclass(frozen=True, slots=True)
class Weight:
    """What one answer says for (above 0) or against a cause."""

    round: int
    """From 1."""
    finding: FindingId
    answer: Answer
    """For a reading: whether it makes the sign likelier to show than not."""
    nats: float
    """Change of the log-odds; infinite when the answer alone settles it."""


@dataclass(frozen=True, slots=True)
class CauseReasons:
    """A cause and what speaks for and against it."""

    cause: CauseId
    chance: float
    weights: tuple[Weight, ...]
    """The strongest first; those that say nothing are left out."""


LEAST = 0.05
"""Nats below which an answer is taken to say nothing."""


def reasons(ruleset: Ruleset, case: Case, how_many: int = 3) -> tuple[CauseReasons, ...]:
    """Give the leading causes with the weight of each answer. Takes one belief for each answer.

    Nothing for a case whose answers cannot all be true.
    """
    belief = believe(ruleset, case)
    leading = belief.causes[:how_many]
    without = list(_each_left_out(ruleset, case))
    found = []
    for cause, chance in leading:
        weights = [
            Weight(number, finding, answer, log_odds(chance) - log_odds(other.chance(cause)))
            for number, finding, answer, other in without
            if other.is_possible
        ]
        telling = [weight for weight in weights if abs(weight.nats) >= LEAST]
        telling.sort(key=lambda weight: (-abs(weight.nats), weight.round, weight.finding))
        found.append(CauseReasons(cause, chance, tuple(telling)))
    return tuple(found)


def weight_in_words(nats: float) -> str:
    """Say a weight of evidence.

    >>> weight_in_words(2.5), weight_in_words(-0.4)
    ('strongly for it', 'a little against it')
    """
    size = abs(nats)
    side = "for it" if nats > 0 else "against it"
    if size < LEAST:
        return "says nothing"
    words = ((4.0, "decisively"), (2.0, "strongly"), (0.8, "clearly"), (0.0, "a little"))
    return f"{next(word for floor, word in words if size >= floor)} {side}"


def log_odds(chance: float) -> float:
    """Give the natural logarithm of the odds, infinite at certainty."""
    if chance <= 0.0:
        return -inf
    return inf if chance >= 1.0 else log(chance) - log(1.0 - chance)


def _each_left_out(ruleset: Ruleset, case: Case) -> list[tuple[int, FindingId, Answer, Belief]]:
    found = []
    for number, one in enumerate(case.rounds):
        for finding, answer in one.answers:
            if answer.is_told:
                other = believe(ruleset, case.without_answer(number, finding))
                found.append((number + 1, finding, answer, other))
        for quantity, value in one.readings:
            # A sign that was itself answered owes the reading nothing.
            for sign in ruleset.signs:
                if not isinstance(sign.read, QuantityRead) or _is_told(one, sign.id):
                    continue
                if sign.read.quantity == quantity:
                    shows = chance_past(sign.read, value, one.sigma(ruleset, quantity)) >= 0.5
                    other = believe(ruleset, case.without_reading(number, quantity))
                    found.append((number + 1, sign.id, Answer.YES if shows else Answer.NO, other))
                    break
        read_off = [pair for pair in one.read_off if not _is_told(one, pair[0])]
        if read_off:
            # They were measured in one go and count together; what they say most about stands for all.
            sign_id, chance = max(read_off, key=lambda pair: abs(pair[1] - 0.5))
            other = believe(ruleset, case.without_thickness(number))
            found.append((number + 1, sign_id, Answer.YES if chance >= 0.5 else Answer.NO, other))
    return found


def _is_told(one: Round, finding: FindingId) -> bool:
    answer = one.answer(finding)
    return answer is not None and answer.is_told
