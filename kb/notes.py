"""Names of notes in the player's habit. Rulesets write scientific pitch: A4 is 440 Hz (ISO 16).

    >>> note_shown("Bb2", NoteNames.GERMAN), note_shown("C#3", NoteNames.SOLMISATION)
    ('B', 'do♯3')

Only the field `tie` of a finding is a note; what an author writes in a sentence stays as written.
German names say the octave by Helmholtz's letters and strokes; solmisation is fixed do, with the
octave numbers of scientific pitch.
"""

import re
from enum import StrEnum
from typing import Final


class NoteNames(StrEnum):
    """Whose names."""

    ENGLISH = "english"
    ENGLISH_WORDS = "english-words"
    """English, sharps and flats as words: for voices and for fonts without the signs."""
    GERMAN = "german"
    SOLMISATION = "solmisation"


_NOTE: Final = re.compile(r"([A-Ga-g])(##|bb|[#b♯♭𝄪𝄫x]?)(-?[0-9])?")
_SHIFT: Final = {"": 0, "#": 1, "♯": 1, "x": 2, "##": 2, "𝄪": 2, "b": -1, "♭": -1, "bb": -2, "𝄫": -2}
_SIGNS: Final = {-2: "𝄫", -1: "♭", 0: "", 1: "♯", 2: "𝄪"}
_WORDS: Final = {-2: " double flat", -1: " flat", 0: "", 1: " sharp", 2: " double sharp"}
_DO: Final = {"C": "do", "D": "re", "E": "mi", "F": "fa", "G": "sol", "A": "la", "B": "si"}
_FLATS: Final = {"E": ("es", "eses"), "A": ("as", "asas"), "B": ("b", "heses")}
"""German flats that do not simply add -es."""


def note_shown(note: str, names: NoteNames) -> str:
    """Give a note as the player calls it; what is no single note is given as it stands."""
    found = _NOTE.fullmatch(note)
    if found is None:
        return note
    letter, shift, octave = found[1].upper(), _SHIFT[found[2]], found[3] or ""
    match names:
        case NoteNames.ENGLISH:
            return f"{letter}{_SIGNS[shift]}{octave}"
        case NoteNames.ENGLISH_WORDS:
            return f"{letter}{_WORDS[shift]} {octave}".rstrip() if shift else f"{letter}{octave}"
        case NoteNames.SOLMISATION:
            return f"{_DO[letter]}{_SIGNS[shift]}{octave}"
        case NoteNames.GERMAN:
            return _german(letter, shift, octave)


def _german(letter: str, shift: int, octave: str) -> str:
    if shift > 0:
        name = ("h" if letter == "B" else letter.lower()) + "is" * shift
    elif shift < 0:
        plain = (f"{letter.lower()}es", f"{letter.lower()}eses")
        name = _FLATS.get(letter, plain)[-shift - 1]
    else:
        name = "h" if letter == "B" else letter.lower()
    if not octave:
        return name.capitalize()
    number = int(octave)
    if number >= 3:
        return name + "′" * (number - 3)
    return name.capitalize() + "".join("₁₂₃₄"[min(1 - number, 3)] if number < 2 else "")
