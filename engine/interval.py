"""Means and shares with the intervals in which the true ones lie nineteen times in twenty.

Means: the normal approximation on the standard error, which a few dozen reeds already deserve.
Shares: E. B. Wilson, Probable inference, the law of succession, and statistical inference, Journal
of the American Statistical Association 22, 1927 (from memory): it stays within 0 and 1 and does not
collapse where nothing, or everything, was counted.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, sqrt
from typing import Final

NORMAL_95: Final = 1.959963984540054
"""Two-sided 95 % point of the normal distribution."""


@dataclass(frozen=True, slots=True)
class Mean:
    """A mean and its 95 % interval."""

    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Share:
    """A share and its 95 % interval."""

    count: int
    of: int
    low: float
    high: float

    @property
    def value(self) -> float:
        """The share; 0 of nothing is 0."""
        return self.count / self.of if self.of else 0.0


def mean_of(values: Sequence[float]) -> Mean:
    """Give the mean. Of nothing it is 0, and of fewer than two values the interval is boundless.

    >>> mean_of([1.0, 3.0])
    Mean(value=2.0, low=0.04003601545994588, high=3.959963984540054)
    """
    if not values:
        return Mean(0.0, -inf, inf)
    middle = sum(values) / len(values)
    if len(values) == 1:
        return Mean(middle, -inf, inf)
    spread = sum((value - middle) ** 2 for value in values) / (len(values) - 1)
    margin = NORMAL_95 * sqrt(spread / len(values))
    return Mean(middle, middle - margin, middle + margin)


def share_of(count: int, of: int) -> Share:
    """Give the share `count` in `of`.

    >>> nothing = share_of(0, 10)
    >>> nothing.low, round(nothing.high, 4)
    (0.0, 0.2775)
    """
    if not of:
        return Share(0, 0, 0.0, 1.0)
    z2 = NORMAL_95**2
    centre = (count + z2 / 2) / (of + z2)
    margin = NORMAL_95 / (of + z2) * sqrt(count * (of - count) / of + z2 / 4)
    low = 0.0 if count == 0 else centre - margin
    high = 1.0 if count == of else centre + margin
    return Share(count, of, low, high)
