"""A WAV file taken apart: what kind of samples it holds, and their bytes.

RIFF WAVE (IBM and Microsoft, Multimedia Programming Interface and Data Specifications 1.0, 1991) with
plain or float samples, also behind WAVE_FORMAT_EXTENSIBLE. Nothing a file says of itself is believed
without looking: sizes are held against the bytes that are there, and what is too long is cut, and said.
Here bytes stay bytes; `engine.listening` makes numbers of them.
"""

import struct
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from kb.disk import read_bounded

LONGEST: Final = 96 * 1024 * 1024
"""Bytes that are read of a file at most."""
RATES: Final = (4_000, 768_000)
MOST_CHANNELS: Final = 16
_PLAIN, _FLOAT, _EXTENSIBLE = 1, 3, 0xFFFE
_WIDTHS: Final = {_PLAIN: (8, 16, 24, 32), _FLOAT: (32, 64)}
_GUID_TAIL: Final = bytes.fromhex("0000000010008000 00aa00389b71".replace(" ", ""))
"""What follows the format's number in the sub-format of WAVE_FORMAT_EXTENSIBLE."""


class WavError(Exception):
    """There is no sound to be had from this file. Its text is one sentence for the user."""


@dataclass(frozen=True, slots=True)
class Wav:
    """The samples of a file, still as bytes: little-endian, channels side by side."""

    rate: int
    """Samples of one channel in a second."""
    channels: int
    bits: int
    """Of one sample: 8 (counted from 128), 16, 24, 32, or 32 or 64 as a float."""
    is_float: bool
    samples: bytes
    """Whole frames only."""
    is_cut: bool
    """Whether the file ends before it says that it does, or is longer than what is read."""

    @property
    def seconds(self) -> float:
        """How long it sounds."""
        return len(self.samples) / (self.channels * self.bits // 8) / self.rate


def read_wav(path: Path) -> Wav:
    """Read a WAV file. Raises WavError, and `kb.disk.DiskError` when there are no bytes to be had."""
    content = read_bounded(path, LONGEST)
    if not content:
        raise WavError(f"{path} is empty")
    try:
        return parsed(content)
    except WavError as fault:
        raise WavError(f"{path} {fault}") from None


def parsed(content: bytes) -> Wav:
    """Take the bytes of a WAV file apart. The sentence of WavError then begins after the file's name."""
    if content[:4] in {b"RIFX", b"RF64", b"riff"}:
        raise WavError("is a kind of WAV file that is not read here; save it as plain WAV (RIFF)")
    if content[:4] != b"RIFF" or content[8:12] != b"WAVE":
        raise WavError("is no WAV file; record, or save, the crow as WAV")
    form: tuple[int, int, int, int] | None = None
    for name, body, is_whole in _chunks(content):
        if name == b"fmt ":
            form = _form(body)
        elif name == b"data":
            if form is None:
                raise WavError("is damaged: its samples come before it says what they are")
            return _wav(form, body, is_whole=is_whole)
    raise WavError("is damaged: it holds no samples")


def _chunks(content: bytes) -> Iterator[tuple[bytes, memoryview, bool]]:
    """Give the chunks with their names, and whether each is as long as it says."""
    view, at = memoryview(content), 12
    while at + 8 <= len(content):
        size = int.from_bytes(content[at + 4 : at + 8], "little")
        body = view[at + 8 : at + 8 + size]
        yield content[at : at + 4], body, len(body) == size
        at += 8 + size + size % 2


def _form(body: memoryview) -> tuple[int, int, int, int]:
    """Give format, channels, rate and bits. Raises WavError."""
    if len(body) < 16:
        raise WavError("is damaged: it does not say what its samples are")
    kind, channels, rate, _, block, bits = struct.unpack_from("<HHIIHH", body)
    if kind == _EXTENSIBLE:
        if len(body) < 40 or bytes(body[26:40]) != _GUID_TAIL:
            raise WavError("holds samples of a kind that is not read here; save it as plain WAV, 16 bit")
        kind = int.from_bytes(body[24:26], "little")
    if bits not in _WIDTHS.get(kind, ()):
        raise WavError("holds samples of a kind that is not read here; save it as plain WAV, 16 bit")
    if not RATES[0] <= rate <= RATES[1] or not 1 <= channels <= MOST_CHANNELS:
        raise WavError(f"says that it has {channels} channels of {rate} samples a second, which no crow has")
    if block != channels * bits // 8:
        raise WavError("is damaged: what it says of its samples does not fit together")
    return kind, channels, rate, bits


def _wav(form: tuple[int, int, int, int], body: memoryview, *, is_whole: bool) -> Wav:
    kind, channels, rate, bits = form
    frame = channels * bits // 8
    samples = bytes(body[: len(body) // frame * frame])
    if not samples:
        raise WavError("holds no sound: it is zero seconds long")
    return Wav(rate, channels, bits, kind == _FLOAT, samples, not is_whole)
