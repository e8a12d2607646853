"""Quantiles of the beta distribution, beside published figures and an exact identity."""

from fractions import Fraction
from math import comb

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.tuning.beta import beta_below, beta_interval


@given(a=st.integers(1, 30), b=st.integers(1, 30), x=st.fractions(0, 1, max_denominator=50))
def test_with_whole_numbers_it_is_a_binomial_tail(a: int, b: int, x: Fraction) -> None:
    # The exact identity I_x(a, b) = P(Binomial(a + b - 1, x) >= a):
    # Abramowitz and Stegun 26.5.24, from memory.
    trials = a + b - 1
    tail = sum(comb(trials, k) * x**k * (1 - x) ** (trials - k) for k in range(a, trials + 1))
    assert beta_below(float(x), a, b) == pytest.approx(float(tail), abs=1e-12)


def test_the_interval_of_a_rule_of_succession_is_the_published_one() -> None:
    # Clopper and Pearson (1934) for 7 of 10, as statistics packages print it: 0.3475 to 0.9333, from memory.
    # Its ends are quantiles of Beta(7, 4) and Beta(8, 3).
    assert beta_interval(7 / 11, 11)[0] == pytest.approx(0.3475, abs=5e-5)
    assert beta_interval(8 / 11, 11)[1] == pytest.approx(0.9333, abs=5e-5)


@given(mean=st.floats(0.001, 0.999), weight=st.floats(1, 5000))
def test_an_interval_leaves_a_fortieth_out_at_each_end(mean: float, weight: float) -> None:
    low, high = beta_interval(mean, weight)
    a, b = mean * weight, (1 - mean) * weight
    assert 0 <= low <= high <= 1
    assert (
        beta_below(high, a, b) - beta_below(low, a, b) == pytest.approx(0.95, abs=1e-6)
        or low < 1e-12
        or high > 1 - 1e-12
    )


def test_a_certain_chance_has_no_width() -> None:
    assert beta_interval(1.0, 20) == (1.0, 1.0)
