"""What the evidence carries: for each chance an interval before and after, and whether it may move.

A chance is worth as many reeds as its log-odds are known by: the whole matrix of slopes, reed by reed,
is inverted, so that two chances that explain the same answers each are known as badly as they deserve.
(E. Berndt, B. Hall, R. Hall and J. Hausman, Estimation and inference in nonlinear structural models,
Annals of Economic and Social Measurement 3, 1974, from memory.)

Makers who contradict one another: where their slopes differ by more than luck allows, every log counts
for less, down to nothing. (R. DerSimonian and N. Laird, Meta-analysis in clinical trials, Controlled
Clinical Trials 7, 1986, from memory.)
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

import numpy as np

from engine.sweep import Floats
from engine.tuning.beta import beta_interval, is_within
from engine.tuning.chances import LEAST, Chances, Slot
from engine.tuning.fitting import Fit, slopes

FEWEST: Final = 5
"""Reeds' worth of evidence below which nothing moves."""
SHARE_OF_WORD: Final = 0.25
"""What evidence must weigh, beside the author's word."""
AGREED: Final = 0.5
"""Share of the evidence that is left where makers differ, below which they contradict one another."""
_NOTHING: Final = 1e-9


class Refusal(StrEnum):
    """Why a chance stays as it was."""

    FEW = "few"
    """Too few reeds, or too little on them, that concerns it."""
    MAKERS_DIFFER = "makers-differ"
    """The logs contradict one another."""
    WITHIN = "within"
    """What the author wrote is as good as anything within the interval."""


@dataclass(frozen=True, slots=True)
class Proposal:
    """What the reeds say about one chance."""

    slot: Slot
    number: int
    before: float
    after: float
    """Rounded to what the evidence deserves: two digits."""
    reeds: float
    """On how many reeds it was put to the test, expected."""
    worth: float
    """How many plainly seen reeds that is worth; never more than there are."""
    trust: float
    """How many reeds the author's word counts as."""
    heard: float
    """How many the reeds count as: what they are worth, less where makers differ."""
    refusal: Refusal | None
    """None: it is proposed."""

    @property
    def before_interval(self) -> tuple[float, float]:
        """Where it lay, at 95 %, by the author's word alone."""
        return beta_interval(self.before, self.trust)

    @property
    def after_interval(self) -> tuple[float, float]:
        """Where it lies, at 95 %, by the author's word and the reeds."""
        return beta_interval(self.after, self.trust + self.heard)


def proposed(
    chances: Chances, fit: Fit, trust: float, makers: Sequence[int], fewest: float = FEWEST
) -> tuple[Proposal, ...]:
    """Say of every chance what the reeds say; `makers[n]` is whose log the fit's n-th reed is from."""
    rising = slopes(chances, fit.values, fit.counts)
    spread = fit.values * (1.0 - fit.values)
    fixed = spread < _NOTHING
    information = rising.T @ rising + np.diag(np.where(fixed, 1.0, trust * spread))
    variance = np.diag(np.linalg.inv(information))
    reeds = _tested(chances, fit)
    with np.errstate(divide="ignore"):
        weight = np.where(fixed, trust, 1.0 / (variance * np.where(fixed, 1.0, spread)))
    worth = np.clip(weight - trust, 0.0, reeds)
    agreed = _agreement(rising, makers)
    # Of what the evidence adds to the author's word, the share stays on which makers agree.
    added = fit.values * (trust + worth) - trust * chances.stated
    moved = (trust * chances.stated + agreed * added) / (trust + agreed * worth)
    return tuple(
        _proposal(
            slot,
            number,
            (float(chances.stated[number]), float(min(max(moved[number], LEAST), chances.ceiling[number]))),
            trust,
            (float(reeds[number]), float(worth[number]), float(agreed[number])),
            fewest,
        )
        for number, slot in enumerate(chances.slots)
    )


def _tested(chances: Chances, fit: Fit) -> Floats:
    """Give on how many reeds each chance was put to the test, expected; a reed counts once."""
    size = len(chances.slots)
    reeds = np.zeros(size)
    for one in fit.counts:
        own = np.zeros(size)
        # A cause's nights have the number of the cause, after all chances.
        np.add.at(own, np.where(one.at < size, one.at, one.at - size), one.seen)
        reeds += np.minimum(own, 1.0)
    return reeds


def with_proposals(chances: Chances, found: Sequence[Proposal]) -> Floats:
    """Give the chances with what is proposed."""
    values = chances.stated.copy()
    for one in found:
        if one.refusal is None:
            values[one.number] = one.after
    return values


def _agreement(rising: Floats, makers: Sequence[int]) -> Floats:
    """Give for each chance the share of the evidence that is left where makers differ by more than luck."""
    groups = [rising[np.asarray(makers) == maker] for maker in dict.fromkeys(makers)]
    slope = np.array([group.sum(axis=0) for group in groups])
    known = np.array([(group**2).sum(axis=0) for group in groups])
    speaks = known > _NOTHING
    safe = np.where(speaks, known, 1.0)
    shift = np.where(speaks, slope / safe, 0.0)
    held = np.where(speaks, known, 0.0)
    whole = np.maximum(held.sum(axis=0), _NOTHING)
    middle = (held * shift).sum(axis=0) / whole
    apart = (held * (shift - middle) ** 2).sum(axis=0)
    freedom = speaks.sum(axis=0) - 1
    room = np.maximum(whole - (held**2).sum(axis=0) / whole, _NOTHING)
    between = np.where(freedom > 0, np.maximum(0.0, apart - freedom) / room, 0.0)
    left = np.where(speaks, 1.0 / (1.0 / safe + between), 0.0).sum(axis=0)
    return np.where(speaks.any(axis=0), np.minimum(1.0, left / whole), 1.0)


def _proposal(
    slot: Slot,
    number: int,
    values: tuple[float, float],
    trust: float,
    evidence: tuple[float, float, float],
    fewest: float,
) -> Proposal:
    before, moved = values
    reeds, worth, agreed = evidence
    weight = trust + agreed * worth
    after = float(f"{moved:.2g}") if moved < 0.995 else moved
    refusal = None
    if worth < max(fewest, SHARE_OF_WORD * trust):
        refusal = Refusal.FEW
    elif agreed < AGREED:
        refusal = Refusal.MAKERS_DIFFER
    elif after == before or is_within(before, after, weight):
        refusal = Refusal.WITHIN
    return Proposal(slot, number, before, after, reeds, worth, trust, agreed * worth, refusal)
