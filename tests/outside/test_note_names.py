"""Names of notes against the standard pitch and the spelling that each habit teaches.

Sources: ISO 16 (1975), standard tuning frequency: A4 is 440 Hz, and in equal temperament a semitone is
the twelfth root of 2; the frequencies of C2, C3, C4 and Bb4 as printed in tables of equal temperament.
German names and Helmholtz's octaves: common practice of German-speaking players, from memory
(B is the flat of H; C, c, c′, c″ for C2, C3, C4, C5). Fixed do: common practice in French, Italian and
Spanish, from memory.
"""

import re

import pytest

from kb.notes import NoteNames, note_shown

LETTERS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
SYLLABLES = {"do": 0, "re": 2, "mi": 4, "fa": 5, "sol": 7, "la": 9, "si": 11}
GERMAN = {
    "c": 0,
    "cis": 1,
    "des": 1,
    "d": 2,
    "dis": 3,
    "es": 3,
    "e": 4,
    "eis": 5,
    "fes": 4,
    "f": 5,
    "fis": 6,
    "ges": 6,
    "g": 7,
    "gis": 8,
    "as": 8,
    "a": 9,
    "ais": 10,
    "b": 10,
    "h": 11,
    "ces": -1,
    "his": 12,
}
SIGNS = {"": 0, "#": 1, "b": -1, "♯": 1, "♭": -1, " sharp": 1, " flat": -1}


def hertz(semitones_above_c0: int) -> float:
    """Give the frequency in equal temperament, A4 (57 semitones above C0) being 440 Hz."""
    return float(440 * 2 ** ((semitones_above_c0 - 57) / 12))


def scientific(note: str) -> int:
    found = re.fullmatch(r"([A-G])([#b♯♭]| sharp| flat)? ?([0-9])", note)
    assert found, note
    return LETTERS[found[1]] + SIGNS[found[2] or ""] + 12 * int(found[3])


def of_syllable(note: str) -> int:
    found = re.fullmatch(r"(do|re|mi|fa|sol|la|si)([♯♭])?([0-9])", note)
    assert found, note
    return SYLLABLES[found[1]] + SIGNS[found[2] or ""] + 12 * int(found[3])


def of_german(note: str) -> int:
    found = re.fullmatch(r"([A-Za-z]+)([′₁₂]*)", note)
    assert found, note
    name, marks = found[1], found[2]
    octave = 3 + marks.count("′") if name.islower() else 2 - sum({"₁": 1, "₂": 2}[one] for one in marks)
    return GERMAN[name.lower()] + 12 * octave


NOTES = [
    f"{letter}{sign}{octave}"
    for letter in LETTERS
    for sign in ("", "#", "b")
    for octave in range(1, 6)
    if f"{letter}{sign}" not in {"B#", "E#", "Cb", "Fb"}
]


@pytest.mark.parametrize(
    "note, frequency", [("A4", 440.0), ("C4", 261.63), ("C2", 65.41), ("C3", 130.81), ("Bb4", 466.16)]
)
def test_the_scale_of_this_test_agrees_with_printed_tables(note: str, frequency: float) -> None:
    assert hertz(scientific(note)) == pytest.approx(frequency, abs=0.006)


@pytest.mark.parametrize("note", NOTES)
def test_a_note_sounds_the_same_by_every_name(note: str) -> None:
    pitch = scientific(note)
    assert scientific(note_shown(note, NoteNames.ENGLISH)) == pitch
    assert scientific(note_shown(note, NoteNames.ENGLISH_WORDS)) == pitch
    assert of_syllable(note_shown(note, NoteNames.SOLMISATION)) == pitch
    assert of_german(note_shown(note, NoteNames.GERMAN)) == pitch


def test_germans_call_b_flat_b_and_b_natural_h() -> None:
    german = [
        note_shown(note, NoteNames.GERMAN) for note in ("Bb3", "B3", "Bb", "Eb4", "Ab2", "C#3", "A4", "C1")
    ]
    assert german == ["b", "h", "B", "es′", "As", "cis", "a′", "C₁"]


def test_signs_that_are_written_as_signs_are_read_as_well() -> None:
    assert note_shown("F♯3", NoteNames.GERMAN) == "fis"
    assert note_shown("B♭2", NoteNames.ENGLISH_WORDS) == "B flat 2"


@pytest.mark.parametrize("text", ["low F to F#", "", "H4", "E3 to G3", "x" * 10_000])
def test_what_is_no_single_note_is_shown_as_written(text: str) -> None:
    assert [note_shown(text, names) for names in NoteNames] == [text] * len(NoteNames)
