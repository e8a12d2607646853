"""Answers that cannot all be true together: which ones disagree."""

from engine.belief import believe
from engine.case import Case
from kb.ids import FindingId, QuantityId
from kb.model import QuantityRead, Ruleset


def disagreeing(ruleset: Ruleset, case: Case) -> tuple[tuple[int, FindingId], ...]:
    """Give a smallest set of answers (round from 1, finding) that already cannot all be true.

    Smallest in the sense that dropping any one of them makes the rest possible. A reading is
    given as the first sign that reads it. Takes one belief for each answer; done only on request
    or when a case has turned out to be impossible.
    """
    kept = case
    needed: list[tuple[int, FindingId]] = []
    for number, one in enumerate(case.rounds):
        for finding, _ in one.answers:
            tried = kept.without_answer(number, finding)
            if believe(ruleset, tried).is_possible:
                needed.append((number + 1, finding))
            else:
                kept = tried
        for quantity, _ in one.readings:
            tried = kept.without_reading(number, quantity)
            if believe(ruleset, tried).is_possible:
                needed.append((number + 1, _sign_of(ruleset, quantity)))
            else:
                kept = tried
    return tuple(needed)


def _sign_of(ruleset: Ruleset, quantity: QuantityId) -> FindingId:
    return next(
        sign.id
        for sign in ruleset.signs
        if isinstance(sign.read, QuantityRead) and sign.read.quantity == quantity
    )
