"""Crows that nobody blew: sounds of known content, and WAV files written by hand, byte by byte."""

import struct
from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

Samples = NDArray[np.float64]
RATE = 44_100


def tone(hertz: float, partials: Sequence[float], seconds: float = 1.5, rate: int = RATE) -> Samples:
    """Give a steady sound whose partials have these amplitudes, each begun at a place of its own."""
    at = np.arange(int(seconds * rate)) / rate
    parts = (
        amplitude * np.sin(2 * np.pi * hertz * number * at + number * number)
        for number, amplitude in enumerate(partials, 1)
        if hertz * number < rate / 2
    )
    return np.asarray(sum(parts, np.zeros(len(at))))


def crow(sounds: Mapping[float, Sequence[float]], *, noise: float = 0.0, seconds: float = 1.5) -> Samples:
    """Give sounds together, with noise, at half of full."""
    together = sum(
        (tone(hertz, partials, seconds) for hertz, partials in sounds.items()), np.zeros(int(seconds * RATE))
    )
    together = together + noise * np.random.default_rng(1).standard_normal(len(together))
    return np.asarray(0.5 * together / max(np.abs(together).max(), 1e-9))


def frames(samples: Samples, bits: int, *, is_float: bool = False) -> bytes:
    """Write samples between -1 and 1 as bytes."""
    if is_float:
        return bytes(samples.astype("<f4" if bits == 32 else "<f8").tobytes())
    if bits == 8:
        return bytes((np.round(samples * 127) + 128).astype(np.uint8).tobytes())
    whole = np.round(samples * (2 ** (bits - 1) - 1)).astype(np.int64)
    if bits == 16:
        return bytes(whole.astype("<i2").tobytes())
    four = whole.astype("<i4")
    return bytes(four.tobytes() if bits == 32 else four.view(np.uint8).reshape(-1, 4)[:, :3].tobytes())


def wav_file(  # noqa: PLR0913 - a file has many sides
    data: bytes,
    *,
    bits: int = 16,
    channels: int = 1,
    rate: int = RATE,
    kind: int = 1,
    is_extensible: bool = False,
    said: int | None = None,
    before: bytes = b"",
) -> bytes:
    """Write a WAV file; `said` is the length that it says itself, `before` are chunks before the samples."""
    block = channels * bits // 8
    form = struct.pack(
        "<HHIIHH", 0xFFFE if is_extensible else kind, channels, rate, rate * block, block, bits
    )
    if is_extensible:
        guid = bytes.fromhex("000000001000800000aa00389b71")
        form += struct.pack("<HHIH", 22, bits, 0, kind) + guid
    body = b"WAVE" + b"fmt " + struct.pack("<I", len(form)) + form + before
    body += b"data" + struct.pack("<I", len(data) if said is None else said) + data
    return b"RIFF" + struct.pack("<I", len(body)) + body
