"""The clamped-free bar, the spread of readings and the units, against published values.

- First roots of cos x · cosh x = −1: 1.8751, 4.6941, 7.8548, and k = 3EI/L³: P. Hadley, cantilever beam
  course page, TU Graz (`hadley` in docs/sources.md). Here the root is found anew by bisection.
- Standard error and combined uncertainty: JCGM 100:2008 (GUM), 4.2.3 and 5.1.2; the ten-times repeated
  example is worked with the definition.
- 25.4 mm and 28.349523125 g: international yard and pound agreement, 1959. Fixed points of °C and °F:
  water freezes at 32 °F and boils at 212 °F by definition of the old scale; −40 is the same on both.
"""

from math import cos, cosh, pi, sqrt

import pytest

from engine.spread import standard_error, uncertainty
from engine.strip import FIRST_ROOT, Strip, change, own_frequency, tip_stiffness
from kb.units import convert


def root(low: float, high: float) -> float:
    def of(x: float) -> float:
        return cos(x) * cosh(x) + 1.0

    for _ in range(200):
        middle = (low + high) / 2
        low, high = (middle, high) if of(low) * of(middle) > 0 else (low, middle)
    return low


def test_the_first_mode_stands_on_the_least_root() -> None:
    assert pytest.approx(1.8751, abs=5e-5) == FIRST_ROOT
    assert root(1.0, 3.0) == pytest.approx(FIRST_ROOT, abs=1e-9)


def test_frequency_and_stiffness_are_those_of_the_handbook_formulas() -> None:
    thick, long, wide, modulus, density = 0.5e-3, 28e-3, 6e-3, 6e9, 500.0
    inertia = wide * thick**3 / 12
    frequency = root(1, 3) ** 2 / (2 * pi) * sqrt(modulus * inertia / (density * wide * thick * long**4))
    strip = Strip(thick * 1000, long * 1000)
    assert own_frequency(strip, modulus, density) == pytest.approx(frequency, rel=1e-9)
    assert own_frequency(strip, modulus, density) == pytest.approx(
        0.1615 * thick / long**2 * sqrt(modulus / density), rel=3e-4
    )
    assert tip_stiffness(strip, wide * 1000, modulus) == pytest.approx(3 * modulus * inertia / long**3)


@pytest.mark.parametrize(
    "thick, long, stiffness, frequency, cents",
    [
        (0.98, 28.0, -5.9, -2.0, -35),
        (0.95, 28.0, -14.3, -5.0, -89),
        (0.90, 28.0, -27.1, -10.0, -182),
        (1.0, 27.5, 5.6, 3.7, 62),
        (1.0, 27.0, 11.5, 7.5, 126),
    ],
)
def test_thinning_and_clipping_do_what_the_formulas_say(
    thick: float, long: float, stiffness: float, frequency: float, cents: int
) -> None:
    # Worked by hand from the two formulas.
    became = change(Strip(1.0, 28.0), Strip(thick, long))
    assert 100 * (became.stiffness - 1) == pytest.approx(stiffness, abs=0.05)
    assert 100 * (became.frequency - 1) == pytest.approx(frequency, abs=0.06)
    assert round(became.cents) == cents
    whole = own_frequency(Strip(thick, long), 6e9, 500) / own_frequency(Strip(1.0, 28.0), 6e9, 500)
    assert became.frequency == pytest.approx(whole)


def test_what_is_no_strip_is_refused() -> None:
    with pytest.raises(ValueError, match="thicker and longer than nothing"):
        Strip(0.0, 28.0)


def test_repeating_a_reading_narrows_its_spread_and_never_its_instrument() -> None:
    values = (0.51, 0.53, 0.52, 0.55, 0.49, 0.52, 0.50, 0.54, 0.51, 0.53)
    average = sum(values) / 10
    by_definition = sqrt(sum((value - average) ** 2 for value in values) / (10 * 9))
    assert standard_error(values) == pytest.approx(by_definition)
    assert uncertainty(values, 0.01) == pytest.approx(sqrt(0.01**2 + by_definition**2))
    assert uncertainty((0.52,), 0.01) == 0.01
    assert uncertainty((0.52, 0.52), None) is None
    assert uncertainty((0.51, 0.53), None) == pytest.approx(0.01)


@pytest.mark.parametrize(
    "value, unit, into, expected",
    [
        (1, "inch", "mm", 25.4),
        (1000, "thou", "in", 1),
        (1, "oz", "g", 28.349523125),
        (0, "°C", "°F", 32),
        (212, "°F", "°C", 100),
        (-40, "°F", "°C", -40),
        (90, "min", "h", 1.5),
        (3, "cm", "mm", 30),
        (20, "µm", "mm", 0.02),
        (440, "Hz", "Hz", 440),
    ],
)
def test_units_convert_exactly(value: float, unit: str, into: str, expected: float) -> None:
    assert convert(value, unit, into) == expected


@pytest.mark.parametrize("unit, into", [("cents", "Hz"), ("mm", "g"), ("%", "mm"), ("°C", "h"), ("", "mm")])
def test_units_of_different_kinds_never_meet(unit: str, into: str) -> None:
    assert convert(1.0, unit, into) is None
