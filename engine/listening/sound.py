"""Samples as numbers: one channel, between −1 and 1, and the stretch in which something sounds."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from engine.sweep import Floats
from kb.wav import Wav

LONGEST: Final = 60.0
"""Seconds that are listened to at most; a crow lasts a few."""
SHORTEST: Final = 0.25
"""Seconds below which no pitch can be told."""
SILENT: Final = 1e-3
"""The loudest sample of a file in which nothing sounds: 60 dB below full."""
_FULL: Final = 0.999
_BLOCK: Final = 0.05
"""Seconds by which loudness is followed."""
_QUIET: Final = 0.1
"""Share of the loudest block (20 dB below it) at which the crow begins and ends."""


@dataclass(frozen=True, slots=True)
class Sound:
    """One channel of a recording."""

    samples: Floats
    """The stretch from where something begins to sound to where it ends."""
    rate: int
    loudest: float
    """The greatest sample of the whole; 1 is full."""
    clipped: float
    """Share of samples that are cut off at full, where at least two stand side by side."""
    channel: int
    """Which was listened to, from 1: the loudest."""
    is_shortened: bool
    """Whether there was more than is listened to."""

    @property
    def seconds(self) -> float:
        """How long it sounds."""
        return len(self.samples) / self.rate

    @property
    def is_silent(self) -> bool:
        """Whether nothing sounds in it."""
        return self.loudest < SILENT


def sound_of(wav: Wav) -> Sound:
    """Make a sound of a file's samples."""
    frame = wav.channels * wav.bits // 8
    most = int(LONGEST * wav.rate)
    frames = _numbers(wav.samples[: most * frame], wav).reshape(-1, wav.channels)
    channel = int(np.argmax((frames**2).sum(axis=0)))
    samples = np.ascontiguousarray(frames[:, channel])
    full = np.abs(samples) >= _FULL
    clipped = float((full[1:] & full[:-1]).mean()) if len(samples) > 1 else 0.0
    loudest = float(np.abs(samples).max())
    return Sound(
        _sounding(samples, wav.rate),
        wav.rate,
        loudest,
        clipped,
        channel + 1,
        len(wav.samples) > most * frame,
    )


def _numbers(samples: bytes, wav: Wav) -> Floats:
    if wav.is_float:
        numbers = np.frombuffer(samples, "<f4" if wav.bits == 32 else "<f8").astype(float)
        # What is no number is silence, and nothing is louder than what a file of whole numbers can hold.
        return np.asarray(np.clip(np.nan_to_num(numbers, nan=0.0, posinf=1.0, neginf=-1.0), -1.0, 1.0))
    if wav.bits == 8:
        return (np.frombuffer(samples, np.uint8).astype(float) - 128.0) / 128.0
    if wav.bits == 24:
        bytes_ = np.frombuffer(samples, np.uint8).reshape(-1, 3).astype(np.int32)
        whole = bytes_[:, 0] | (bytes_[:, 1] << 8) | (bytes_[:, 2] << 16)
        return np.where(whole >= 1 << 23, whole - (1 << 24), whole) / float(1 << 23)
    whole_numbers = np.frombuffer(samples, "<i2" if wav.bits == 16 else "<i4")
    return np.asarray(whole_numbers / float(1 << (wav.bits - 1)), dtype=np.float64)


def _sounding(samples: Floats, rate: int) -> Floats:
    """Cut off what comes before the crow and after it, and what does not change."""
    samples = samples - samples.mean()
    block = max(1, int(_BLOCK * rate))
    whole = len(samples) // block * block
    if whole == 0:
        return samples
    loudness = np.sqrt((samples[:whole].reshape(-1, block) ** 2).mean(axis=1))
    loud = np.flatnonzero(loudness >= _QUIET * loudness.max())
    return samples[loud[0] * block : (loud[-1] + 1) * block]
