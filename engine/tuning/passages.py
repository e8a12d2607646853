"""What happened to a cause in each gap, life line by life line: whether it was there, went, or came.

The belief needs to know only where a cause was present (`engine.lifelines`); counting needs the steps
between. Built the same way and merged by the same keys, so that each group of life lines is the same.
"""

from dataclasses import dataclass

import numpy as np

from engine.lifelines import NOTHING, Heard, Seen
from engine.sweep import Floats

Key = tuple[Seen, bool]
"""What a life line makes of what was said, and whether the cause is there at the end."""


@dataclass(frozen=True, slots=True)
class Passages:
    """For each gap, within one group of life lines, the chance of each that something happened."""

    there: Floats
    """It was present before the gap."""
    went: Floats
    """It was, and not after it."""
    came: Floats
    """It was not, and was after it."""


def passages_of(prior: float, changes: tuple[tuple[float, float], ...], heard: Heard) -> dict[Key, Passages]:
    """Give what happened in each gap, by the key of the group of life lines.

    >>> passages_of(0.5, ((1.0, 0.0),), Heard((0b1,), ((0, 0b1), (0, 0))))[(0, 0b1), False].went.tolist()
    [1.0]
    """
    gaps = len(changes)
    lines: dict[Key, tuple[float, Floats]] = {
        (NOTHING, False): (1.0 - prior, np.zeros((3, gaps))),
        (heard.seen(NOTHING, 0), True): (prior, np.zeros((3, gaps))),
    }
    for number, (going, coming) in enumerate(changes):
        grown: dict[Key, tuple[float, Floats]] = {}
        for (seen, present), (weight, steps) in lines.items():
            chance = 1.0 - going if present else coming
            for key, share, is_there in (
                ((heard.seen(seen, number + 1), True), chance, True),
                ((seen, False), 1.0 - chance, False),
            ):
                if weight * share <= 0.0:
                    continue
                known, summed = grown.get(key, (0.0, 0.0))
                moved = steps * share
                moved[:, number] = (
                    weight
                    * share
                    * np.array([present, present and not is_there, is_there and not present], float)
                )
                grown[key] = (known + weight * share, summed + moved)
        lines = grown
    return {key: Passages(*(steps / weight)) for key, (weight, steps) in lines.items()}
