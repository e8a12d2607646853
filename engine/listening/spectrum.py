"""What sounds in a recording: partials, and the sounds to which they belong.

The power spectra of overlapping windows are averaged (Blackman and Harris, four terms: what leaks
elsewhere stays 92 dB below a tone); peaks well above the floor round about are
partials, their frequency refined by a parabola through three points of the logarithm. A sound is a pitch
with partials near its whole multiples. The sound that explains most is taken out first, then the next,
up to three: the low, the middle and the high sound of a crow, where they are not octaves of one another.
(F. J. Harris, Proceedings of the IEEE 66, 1978; P. D. Welch, IEEE Transactions on Audio and
Electroacoustics 15, 1967; J. O. Smith and X. Serra, PARSHL, 1987; all from memory.)
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from engine.sweep import Floats

WINDOW: Final = 0.6
"""Seconds of one window."""
LOWEST, HIGHEST = 40.0, 8000.0
HIGHEST_PITCH: Final = 2500.0
MOST_SOUNDS: Final = 3
MOST_PARTIALS: Final = 60
_PADDING: Final = 4
_ABOVE_FLOOR: Final = 20.0
"""How many times the power round about a partial has (13 dB)."""
_FAINTEST: Final = 1e-5
"""Share of the strongest partial's power below which others are not heard (50 dB)."""
_ROUND_ABOUT: Final = 150.0
"""Hertz to each side over which the floor is looked for."""
_HARRIS: Final = (0.35875, -0.48829, 0.14128, -0.01168)
_MULTIPLES: Final = 16
_TRIED: Final = 8
"""Strongest partials from which a pitch is guessed, each as first to sixth multiple."""
_GUESSES: Final = 6
_COMPLETE: Final = 0.5
"""Share of the multiples up to its highest that a sound must have."""
_SAME: Final = 0.012
"""Share by which a multiple may lie beside its place (20 cents)."""
_FAINT_SOUND: Final = 1e-3
"""Share of the strongest sound's power below which there is no further sound (30 dB)."""


@dataclass(frozen=True, slots=True)
class Partial:
    """One tone."""

    hertz: float
    power: float


@dataclass(frozen=True, slots=True)
class Sounding:
    """One sound: a pitch and its partials."""

    hertz: float
    partials: tuple[tuple[int, Partial], ...]
    """Each with which multiple of the pitch it is."""

    @property
    def power(self) -> float:
        """The power of all its partials."""
        return sum(one.power for _, one in self.partials)


@dataclass(frozen=True, slots=True)
class Spectrum:
    """Mean power by frequency."""

    hertz: Floats
    power: Floats
    resolution: float
    """Hertz within which two tones are one."""


def spectrum_of(samples: Floats, rate: int) -> Spectrum:
    """Average the spectra of overlapping windows."""
    size = min(len(samples), int(WINDOW * rate))
    step = max(1, size // 2)
    turn = 2.0 * np.pi * np.arange(size) / size
    window = sum(share * np.cos(number * turn) for number, share in enumerate(_HARRIS))
    length = 1 << (size * _PADDING - 1).bit_length()
    power = np.zeros(length // 2 + 1)
    for begin in range(0, len(samples) - size + 1, step):
        power += np.abs(np.fft.rfft(samples[begin : begin + size] * window, length)) ** 2
    hertz = np.arange(len(power), dtype=np.float64) * (rate / length)
    return Spectrum(np.asarray(hertz), power, 4.0 * rate / size)


def partials_of(spectrum: Spectrum) -> tuple[Partial, ...]:
    """Give the tones that stand out, the strongest first."""
    hertz, power = spectrum.hertz, spectrum.power
    if not power.max() > 0.0:
        return ()
    step = hertz[1]
    inside = power[1:-1]
    peaks = np.flatnonzero((inside > power[:-2]) & (inside >= power[2:])) + 1
    peaks = peaks[(hertz[peaks] >= LOWEST) & (hertz[peaks] <= HIGHEST)]
    peaks = peaks[power[peaks] >= _FAINTEST * power.max()]
    peaks = peaks[np.argsort(power[peaks])[::-1]][: 4 * MOST_PARTIALS]
    reach = int(_ROUND_ABOUT / step)
    found: list[Partial] = []
    for peak in peaks.tolist():
        around = power[max(1, peak - reach) : peak + reach]
        # A quarter of what is round about is floor even where partials stand close.
        if power[peak] < _ABOVE_FLOOR * np.quantile(around, 0.25):
            continue
        partial = _refined(power, peak, step)
        if all(abs(partial.hertz - one.hertz) > spectrum.resolution for one in found):
            found.append(partial)
    return tuple(found[:MOST_PARTIALS])


def _refined(power: Floats, peak: int, step: float) -> Partial:
    left, middle, right = np.log(np.maximum(power[peak - 1 : peak + 2], 1e-300))
    bend = left - 2.0 * middle + right
    shift = 0.5 * (left - right) / bend if bend < 0.0 else 0.0
    return Partial(float((peak + shift) * step), float(np.exp(middle - 0.25 * (left - right) * shift)))


def sounds_of(partials: Sequence[Partial], resolution: float) -> tuple[Sounding, ...]:
    """Give the sounds to which the partials belong, the one that explains most first."""
    left, found = list(partials), list[Sounding]()
    while left and len(found) < MOST_SOUNDS:
        strongest = sorted(left, key=lambda one: -one.power)[:_TRIED]
        guesses = (
            _sounding(one.hertz / number, left, resolution)
            for one in strongest
            for number in range(1, _GUESSES + 1)
            if LOWEST <= one.hertz / number <= HIGHEST_PITCH
        )
        best = max(
            (one for one in guesses if one is not None), key=lambda one: _explains(one.partials), default=None
        )
        if best is None or (found and best.power < _FAINT_SOUND * found[0].power):
            break
        taken = {one.hertz for _, one in best.partials}
        left = [one for one in left if one.hertz not in taken]
        if not any(_is_multiple(best, one) for one in found):
            found.append(best)
    return tuple(found)


def multiple_of(partials: Sequence[Partial], hertz: float) -> float:
    """Give the power of the partial at about this frequency, whichever sound it belongs to; 0 without one."""
    return max((one.power for one in partials if abs(one.hertz / hertz - 1.0) <= _SAME), default=0.0)


def _is_multiple(one: Sounding, lower: Sounding) -> bool:
    """Whether a sound is a left-over multiple of another, beyond those that were looked for."""
    number = round(one.hertz / lower.hertz)
    return number > 1 and abs(one.hertz / (number * lower.hertz) - 1.0) <= _SAME


def _sounding(guess: float, partials: Sequence[Partial], resolution: float) -> Sounding | None:
    """Give the sound with about this pitch; None when too many of its multiples are missing."""
    own: dict[int, Partial] = {}
    for one in partials:
        number = round(one.hertz / guess)
        near = abs(one.hertz - number * guess) <= max(resolution / 2.0, 0.008 * one.hertz)
        if 1 <= number <= _MULTIPLES and near and (number not in own or own[number].power < one.power):
            own[number] = one
    whole = sorted(own.items())
    # A far multiple may belong to something else: the sound ends where it explains most for its size.
    ends = (tuple(whole[:end]) for end in range(1, len(whole) + 1))
    best = max((one for one in ends if len(one) >= _COMPLETE * one[-1][0]), key=_explains, default=())
    return Sounding(_pitch(best), best) if best else None


def _pitch(partials: Sequence[tuple[int, Partial]]) -> float:
    """Give what the partials say of their pitch: the middle one, the strong and the high having most say."""
    said = sorted((one.hertz / number, one.power**0.5 * number) for number, one in partials)
    half, so_far = sum(weight for _, weight in said) / 2.0, 0.0
    for pitch, weight in said:
        so_far += weight
        if so_far >= half:
            return pitch
    return said[-1][0]


def _explains(partials: Sequence[tuple[int, Partial]]) -> float:
    """Say how much a sound explains: loudness of its partials, less for every multiple that is missing."""
    loudness: float = sum(one.power**0.25 for _, one in partials)
    complete = len(partials) / partials[-1][0]
    first = 1.0 if partials[0][0] == 1 else 0.5
    return loudness * complete * complete * first
