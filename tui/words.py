"""Words for figures, the same in every front: chances, minutes, how far a step can be undone."""

from typing import Final

from kb.model import Ending, Undo

_CHANCES: Final = ((0.9, "nearly sure"), (0.65, "likely"), (0.35, "may well be"), (0.12, "possible"))

UNDO: Final = {
    Undo.FULLY: "can be undone",
    Undo.PARTLY: "can be undone in part",
    Undo.NEVER: "cannot be undone",
}
ENDINGS: Final = {
    Ending.READY: "The reed is ready.",
    Ending.ACCEPT: "Take the reed as it is.",
    Ending.SET_ASIDE: "Set this reed aside.",
}
UNLISTED_IS_LARGE: Final = 0.3
"""Chance of a reason that the ruleset does not list, from which it is said."""


def chance_word(chance: float) -> str:
    """Say a chance in words, for the desk; a ruleset's own words are for its authors."""
    return next((word for least, word in _CHANCES if chance >= least), "unlikely")


def per_cent(chance: float) -> str:
    """Give a chance as a whole per cent; the ends are kept for what is certain.

    >>> per_cent(0.724), per_cent(0.9999), per_cent(0.0004), per_cent(1.0)
    ('72 %', 'over 99 %', 'under 1 %', '100 %')
    """
    if 0.995 <= chance < 1:
        return "over 99 %"
    if 0 < chance < 0.005:
        return "under 1 %"
    return f"{chance * 100:.0f} %"


def minutes(number: float) -> str:
    """Say how long something takes.

    >>> minutes(1), minutes(2.5), minutes(45)
    ('1 minute', '2.5 minutes', '45 minutes')
    """
    return "1 minute" if number == 1 else f"{number:g} minutes"
