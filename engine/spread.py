"""Repeated readings: what they say together, and how sure it is.

The mean of n readings has the standard error s/√n; the instrument adds its own uncertainty, and the two
go together as the root of the sum of their squares (JCGM 100:2008, "GUM", 4.2.3 and 5.1.2). So repeating
a reading never makes it surer than its instrument: what a gauge has wrong, it has wrong every time.
"""

from collections.abc import Sequence
from math import hypot, sqrt
from statistics import fmean, stdev


def standard_error(values: Sequence[float]) -> float:
    """Give the standard error of the mean; 0 for a single reading, of which it is not known.

    >>> round(standard_error((1.0, 2.0, 3.0)), 6)
    0.57735
    """
    return stdev(values) / sqrt(len(values)) if len(values) > 1 else 0.0


def uncertainty(values: Sequence[float], precision: float | None) -> float | None:
    """Give the standard uncertainty of the mean; None where nothing is known of it.

    >>> round(uncertainty((1.25, 1.35), 0.05), 4), uncertainty((1.3,), None)
    (0.0707, None)
    """
    error = standard_error(values)
    if precision is None or precision <= 0.0:
        return error or None
    return hypot(precision, error)


def mean(values: Sequence[float]) -> float:
    """Give the mean of one reading or more."""
    return fmean(values)
