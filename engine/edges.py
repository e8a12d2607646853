"""How likely a true value lies past an edge, when a reading of it is not quite sure.

The law of `precision` in the method: the reading is normal about the true value. Quantities and
thicknesses follow it alike.
"""

from math import erfc, sqrt

from kb.model import Edge


def chance_beyond(edge: Edge, low: float, high: float, reading: float, sigma: float | None) -> float:
    """Give the chance that the true value lies past the edge; 0 or 1 where the reading is taken at its word.

    >>> chance_beyond(Edge.ABOVE, 0.0, 1.2, 1.2, 0.05)
    0.5
    """
    if sigma is None or sigma <= 0.0:
        above, below = float(reading > high), float(reading < low)
    else:
        above, below = _normal_cdf((reading - high) / sigma), _normal_cdf((low - reading) / sigma)
    match edge:
        case Edge.ABOVE:
            return above
        case Edge.BELOW:
            return below
        case Edge.OUTSIDE:
            return min(1.0, above + below)


def _normal_cdf(x: float) -> float:
    return 0.5 * erfc(-x / sqrt(2.0))
