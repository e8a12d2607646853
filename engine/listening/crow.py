"""A crow as it was heard: its pitch, its sounds, how steady it is, and what is wrong with the recording."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import log10
from typing import Final

import numpy as np

from engine.listening.pitch import cents_from_a4
from engine.listening.sound import SHORTEST, Sound
from engine.listening.spectrum import (
    HIGHEST,
    LOWEST,
    Partial,
    Sounding,
    Spectrum,
    multiple_of,
    partials_of,
    sounds_of,
    spectrum_of,
)

CLIPPED: Final = 1e-4
"""Share of samples at full from which a recording counts as cut off."""
NOISY: Final = -10.0
"""Decibels, beside the sounds, from which the rest counts as noise."""
FAINT: Final = 0.02
"""Loudest sample below which a recording is faint: 34 dB below full."""
_GLANCE: Final = 0.15
"""Seconds of one glance at the pitch, for following it."""
_NEAR: Final = 80.0
"""Cents within which the pitch is followed."""
FEWEST_GLANCES: Final = 4


class Unheard(StrEnum):
    """Why no pitch can be told."""

    SILENT = "silent"
    SHORT = "short"
    AIR = "air"
    """Something sounds, and it has no pitch."""


@dataclass(frozen=True, slots=True)
class Voice:
    """One of the sounds of a crow."""

    hertz: float
    decibels: float
    """Beside the strongest, whose value is 0."""
    partials: int

    @property
    def cents(self) -> float:
        """Above A4."""
        return cents_from_a4(self.hertz)


@dataclass(frozen=True, slots=True)
class Crow:
    """What was heard."""

    unheard: Unheard | None
    pitch: float | None
    """Hertz of the strongest sound."""
    voices: tuple[Voice, ...]
    """The sounds, the lowest first."""
    octaves: tuple[float, ...]
    """Decibels at the lowest sound's pitch, one and two octaves above it, beside its strongest partial."""
    sway: float | None
    """Standard deviation of the pitch from moment to moment, in cents; None: too short to follow."""
    drift: float | None
    """Cents by which the end lies above the beginning."""
    noise: float | None
    """Decibels of all that is no partial, beside the sounds."""

    @property
    def names(self) -> tuple[str, ...]:
        """What each voice is called: low, middle, high, by their order alone."""
        return {0: (), 1: ("one sound",), 2: ("low", "high")}.get(len(self.voices), ("low", "middle", "high"))


def heard(sound: Sound) -> Crow:
    """Listen to a recording."""
    if sound.is_silent:
        return _nothing(Unheard.SILENT)
    if sound.seconds < SHORTEST:
        return _nothing(Unheard.SHORT)
    spectrum = spectrum_of(sound.samples, sound.rate)
    partials = partials_of(spectrum)
    sounds = sounds_of(partials, spectrum.resolution)
    if not sounds:
        return _nothing(Unheard.AIR)
    strongest = max(sounds, key=lambda one: one.power)
    sway, drift = _followed(sound, strongest)
    voices = tuple(
        Voice(one.hertz, _decibels(one.power / strongest.power), len(one.partials))
        for one in sorted(sounds, key=lambda one: one.hertz)
    )
    lowest = min(sounds, key=lambda one: one.hertz)
    return Crow(
        None, strongest.hertz, voices, _octaves(lowest, partials), sway, drift, _noise(spectrum, sounds)
    )


def _nothing(why: Unheard) -> Crow:
    return Crow(why, None, (), (), None, None, None)


def _decibels(ratio: float) -> float:
    return 10.0 * log10(max(ratio, 1e-12))


def _octaves(lowest: Sounding, partials: Sequence[Partial]) -> tuple[float, ...]:
    greatest = max(one.power for _, one in lowest.partials)
    return tuple(_decibels(multiple_of(partials, number * lowest.hertz) / greatest) for number in (1, 2, 4))


def _noise(spectrum: Spectrum, sounds: tuple[Sounding, ...]) -> float:
    """Give the power between partials beside that of the partials."""
    inside = (spectrum.hertz >= LOWEST) & (spectrum.hertz <= HIGHEST)
    tonal = np.zeros(len(spectrum.hertz), dtype=bool)
    for sound in sounds:
        for _, one in sound.partials:
            tonal |= np.abs(spectrum.hertz - one.hertz) <= spectrum.resolution
    rest = float(spectrum.power[inside & ~tonal].sum())
    return _decibels(rest / max(float(spectrum.power[inside & tonal].sum()), 1e-300))


def _followed(sound: Sound, strongest: Sounding) -> tuple[float | None, float | None]:
    """Follow the strongest partial from moment to moment: how it sways, and where it drifts to."""
    number, partial = max(strongest.partials, key=lambda pair: pair[1].power)
    size = int(_GLANCE * sound.rate)
    cents = []
    for begin in range(0, len(sound.samples) - size + 1, size // 2):
        glance = partials_of(spectrum_of(sound.samples[begin : begin + size], sound.rate))
        near = [
            cents_from_a4(one.hertz / number) - cents_from_a4(partial.hertz / number)
            for one in glance
            if abs(cents_from_a4(one.hertz) - cents_from_a4(partial.hertz)) <= _NEAR
        ]
        cents += near[:1]
    if len(cents) < FEWEST_GLANCES:
        return None, None
    third = max(1, len(cents) // 3)
    return float(np.std(cents)), float(np.mean(cents[-third:]) - np.mean(cents[:third]))
