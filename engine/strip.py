"""What thinning or clipping does to a strip: stiffness and own frequency of a uniform clamped-free bar.

Euler–Bernoulli beam: tip stiffness k = E·b·h³ / (4·L³); first mode f₁ = (β₁L)²/2π · √(E·I / (ρ·b·h·L⁴)),
with I = b·h³/12 and β₁L the least root of cos x · cosh x = −1, 1.8751 (P. Hadley, cantilever beam course
page, TU Graz; `hadley` in docs/sources.md). Hence k ∝ (h/L)³ and f₁ ∝ h/L²: only ratios are used here, so no
figure of the cane is needed.

For orientation only. A blade is tapered, arched, joined to the other at the rails, damped by lip and
water, and its own frequency is not the note: the bore rules that. The direction holds, the size does not.
"""

from dataclasses import dataclass
from math import log2, pi, sqrt
from typing import Final

FIRST_ROOT: Final = 1.8751040687
"""β₁L; handbooks print 1.8751."""


@dataclass(frozen=True, slots=True)
class Strip:
    """A strip of one thickness, clamped at one end, in millimetres."""

    thickness: float
    length: float

    def __post_init__(self) -> None:
        """Refuse what is no strip."""
        if not (self.thickness > 0.0 and self.length > 0.0):
            message = "a strip is thicker and longer than nothing"
            raise ValueError(message)


@dataclass(frozen=True, slots=True)
class Change:
    """What becomes of a strip, as ratios to what it was."""

    stiffness: float
    frequency: float

    @property
    def cents(self) -> float:
        """The change of its own frequency in cents: 1200 to the octave."""
        return 1200.0 * log2(self.frequency)


def change(before: Strip, after: Strip) -> Change:
    """Compare a strip with what it was.

    >>> clipped = change(Strip(0.5, 28.0), Strip(0.5, 27.5))
    >>> round(100 * (clipped.stiffness - 1), 1), round(clipped.cents)
    (5.6, 62)
    """
    thinner, shorter = after.thickness / before.thickness, after.length / before.length
    return Change((thinner / shorter) ** 3, thinner / shorter**2)


def own_frequency(strip: Strip, modulus: float, density: float) -> float:
    """Give the first own frequency in hertz, for a modulus in pascal and a density in kg/m³."""
    thickness, length = strip.thickness / 1000.0, strip.length / 1000.0
    return FIRST_ROOT**2 / (2.0 * pi * sqrt(12.0)) * thickness / length**2 * sqrt(modulus / density)


def tip_stiffness(strip: Strip, width: float, modulus: float) -> float:
    """Give newtons per metre at the tip, for a width in millimetres and a modulus in pascal."""
    return modulus * width / 1000.0 * strip.thickness**3 / (4.0 * strip.length**3)
