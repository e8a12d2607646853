"""The beta distribution: what is believed of a chance after it was put to the test so often.

Its distribution function by Lentz's continued fraction, its quantiles by halving.
(M. Abramowitz and I. Stegun, Handbook of Mathematical Functions, 1964, 26.5.8 and 6.6, from memory.)
"""

from math import exp, lgamma, log
from typing import Final

_TINY: Final = 1e-300
_CLOSE: Final = 1e-14
_MOST: Final = 10_000
_HALVINGS: Final = 60
TAIL: Final = 0.025
"""Left out at each end of a 95 % interval."""


def beta_below(x: float, a: float, b: float) -> float:
    """Give the chance that a chance that is believed to be Beta(a, b) lies below `x`.

    >>> round(beta_below(0.3, 2.0, 1.0), 12)
    0.09
    """
    if x <= 0.0:
        return 0.0
    if x >= 1.0:
        return 1.0
    front = exp(lgamma(a + b) - lgamma(a) - lgamma(b) + a * log(x) + b * log(1.0 - x))
    if x < (a + 1.0) / (a + b + 2.0):
        return front * _fraction(x, a, b) / a
    return 1.0 - front * _fraction(1.0 - x, b, a) / b


def _fraction(x: float, a: float, b: float) -> float:
    c, d = 1.0, 1.0 / _away(1.0 - (a + b) * x / (a + 1.0))
    product = d
    for m in range(1, _MOST):
        for term in (
            m * (b - m) * x / ((a + 2 * m - 1.0) * (a + 2 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1.0)),
        ):
            d = 1.0 / _away(1.0 + term * d)
            c = _away(1.0 + term / c)
            product *= c * d
        if abs(c * d - 1.0) < _CLOSE:
            break
    return product


def _away(number: float) -> float:
    return number if abs(number) > _TINY else _TINY


def beta_interval(mean: float, weight: float) -> tuple[float, float]:
    """Give the 95 % interval of a chance with this mean that weighs as much as so many reeds.

    >>> [round(end, 3) for end in beta_interval(0.5, 2.0)]
    [0.025, 0.975]
    """
    if not 0.0 < mean < 1.0:
        return mean, mean
    a, b = mean * weight, (1.0 - mean) * weight
    return _quantile(TAIL, a, b), _quantile(1.0 - TAIL, a, b)


def is_within(chance: float, mean: float, weight: float) -> bool:
    """Whether a chance lies in the 95 % interval; quicker than the interval itself.

    >>> is_within(0.5, 0.6, 20.0), is_within(0.1, 0.6, 20.0)
    (True, False)
    """
    if not 0.0 < mean < 1.0:
        return chance == mean
    return TAIL <= beta_below(chance, mean * weight, (1.0 - mean) * weight) <= 1.0 - TAIL


def _quantile(share: float, a: float, b: float) -> float:
    low, high = 0.0, 1.0
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        if beta_below(middle, a, b) < share:
            low = middle
        else:
            high = middle
    return (low + high) / 2.0
