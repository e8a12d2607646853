"""Pitch in cents and by name, counted from A4 = 440 Hz (ISO 16), in equal temperament."""

from math import log2
from typing import Final

A4: Final = 440.0
_NAMES: Final = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "G#", "A", "Bb", "B")
_A4_NUMBER: Final = 69
"""Semitones from C-1 to A4."""


def cents_from_a4(hertz: float) -> float:
    """Give how many cents a pitch lies above A4; below it, less than 0.

    >>> cents_from_a4(880.0), cents_from_a4(220.0)
    (1200.0, -1200.0)
    """
    return 1200.0 * log2(hertz / A4)


def nearest_note(hertz: float) -> tuple[str, float]:
    """Give the nearest note, in scientific pitch, and by how many cents the pitch lies above it.

    >>> nearest_note(440.0), nearest_note(220.0)
    (('A4', 0.0), ('A3', 0.0))
    """
    cents = cents_from_a4(hertz)
    steps = round(cents / 100.0)
    octave, name = divmod(_A4_NUMBER + steps, 12)
    return f"{_NAMES[name]}{octave - 1}", cents - 100.0 * steps
