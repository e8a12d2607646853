"""What a crow suggests under a ruleset: a reading, and the answers that follow from it. All to be confirmed.

A ruleset ties a sound to findings by a quantity alone: one in hertz that is about the crow, and signs that
read it. Whether the low sound is missing is for the maker's ear to say: no ruleset says in numbers what
missing means.
"""

from dataclasses import dataclass
from typing import Final

from engine.findings import chance_past
from kb.ids import FindingId
from kb.model import Answer, By, Finding, Quantity, QuantityRead, Ruleset

HERTZ: Final = "Hz"
CROW: Final = "crow"
SURE: Final = 0.9
"""Chance from which an answer is suggested as yes, and below whose rest as no."""
DIGITS: Final = 1
"""Of a reading in hertz, after the point."""


@dataclass(frozen=True, slots=True)
class Suggestion:
    """One quantity that the crow's pitch may be a reading of."""

    quantity: Quantity
    value: float
    answers: tuple[tuple[FindingId, Answer | None], ...]
    """Signs that read it; None: too near the edge to say."""

    @property
    def is_plausible(self) -> bool:
        """Whether the ruleset would take such a reading."""
        limits = self.quantity.limits
        return limits is None or limits[0] <= self.value <= limits[1]

    @property
    def beyond_target(self) -> int:
        """-1 below the target, 1 above it, 0 inside or where there is none."""
        if self.quantity.target is None:
            return 0
        low, high = self.quantity.target
        return (self.value > high) - (self.value < low)


def suggestions(ruleset: Ruleset, hertz: float) -> tuple[Suggestion, ...]:
    """Give the quantities that are about the crow, by their id or title; if none is, all in hertz."""
    in_hertz = [one for one in ruleset.quantities if one.unit.casefold() == HERTZ.casefold()]
    of_crow = [one for one in in_hertz if CROW in one.id.split("-") or CROW in one.title.casefold()]
    return tuple(_suggestion(ruleset, one, round(hertz, DIGITS)) for one in of_crow or in_hertz)


def crow_findings(ruleset: Ruleset) -> tuple[Finding, ...]:
    """Give the findings that a maker answers by crowing, in the file's order."""
    return tuple(one for one in ruleset.findings if one.by is By.CROW)


def _suggestion(ruleset: Ruleset, quantity: Quantity, value: float) -> Suggestion:
    answers = []
    for sign in ruleset.signs:
        if isinstance(sign.read, QuantityRead) and sign.read.quantity == quantity.id:
            chance = chance_past(sign.read, value, quantity.precision)
            sure = Answer.YES if chance >= SURE else Answer.NO if chance <= 1.0 - SURE else None
            answers.append((sign.id, sure))
    return Suggestion(quantity, value, tuple(answers))
