"""The whole account of a step, on request: weights, ties, what is left, and what would have turned it.

Apart from `engine.advice`, because it takes many weighings and nobody waits for it at every step.
"""

from dataclasses import dataclass

from engine.belief import Belief
from engine.case import Case
from engine.explain import CauseReasons, reasons
from engine.remaining import Remaining, remaining
from engine.together import Pair, pairs
from engine.turning import Turning, turning
from kb.model import Ruleset

LEADING = 3
"""Causes whose reasons and pairs are given."""


@dataclass(frozen=True, slots=True)
class Account:
    """Everything that can be said for a step."""

    reasons: tuple[CauseReasons, ...]
    pairs: tuple[Pair, ...]
    """Of the leading causes, those that answers tie to each other."""
    remaining: Remaining
    turning: Turning


def account(ruleset: Ruleset, case: Case, belief: Belief) -> Account:
    """Give the account of the step for `case`, whose `belief` is known. Raises TooWideError."""
    leading = [cause for cause, _ in belief.causes[:LEADING]]
    tied = (pair for pair in pairs(ruleset, case, leading) if pair.is_either or pair.goes_together)
    return Account(
        reasons(ruleset, case, LEADING),
        tuple(tied),
        remaining(ruleset, case, belief),
        turning(ruleset, case),
    )
