"""WAV files taken apart: sound ones of every kind, and broken, lying and foreign ones."""

import struct
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.wav import WavError, parsed, read_wav
from tests.support.crows import wav_file

EIGHT = bytes(range(8))


@pytest.mark.parametrize("bits,kind", [(8, 1), (16, 1), (24, 1), (32, 1), (32, 3), (64, 3)])
@pytest.mark.parametrize("is_extensible", [False, True])
def test_samples_of_every_kind_are_found(bits: int, kind: int, *, is_extensible: bool) -> None:
    data = bytes(range(24)) * 2
    wav = parsed(wav_file(data, bits=bits, channels=2, kind=kind, is_extensible=is_extensible))
    frame = 2 * bits // 8
    assert (wav.bits, wav.channels, wav.rate, wav.is_float) == (bits, 2, 44_100, kind == 3)
    assert wav.samples == data[: len(data) // frame * frame]
    assert not wav.is_cut
    assert wav.seconds == pytest.approx(len(data) // frame / 44_100)


def test_other_chunks_are_passed_over_odd_ones_too() -> None:
    before = b"LIST" + struct.pack("<I", 3) + b"abc\0" + b"fact" + struct.pack("<I", 4) + b"\0\0\0\0"
    assert parsed(wav_file(EIGHT, before=before)).samples == EIGHT


@pytest.mark.parametrize("said", [9, 1000, 0xFFFFFFFF])
def test_a_file_that_says_that_it_is_longer_is_cut(said: int) -> None:
    wav = parsed(wav_file(EIGHT, said=said))
    assert (wav.samples, wav.is_cut) == (EIGHT, True)


def test_half_a_frame_at_the_end_is_left_out() -> None:
    assert parsed(wav_file(EIGHT[:7], channels=2)).samples == EIGHT[:4]


@pytest.mark.parametrize(
    "content,said",
    [
        (b"", "is no WAV file"),
        (b"ID3\x03 some music", "is no WAV file"),
        (b"RIFF\0\0\0\0AVI ", "is no WAV file"),
        (b"RF64\xff\xff\xff\xffWAVE", "is a kind of WAV file that is not read here"),
        (b"RIFX\0\0\0\0WAVE", "is a kind of WAV file that is not read here"),
        (b"RIFF\0\0\0\0WAVE", "it holds no samples"),
        (wav_file(EIGHT)[:40], "it holds no samples"),
        (wav_file(b""), "zero seconds long"),
        (wav_file(EIGHT[:1]), "zero seconds long"),
        (wav_file(EIGHT, bits=12), "of a kind that is not read here"),
        (wav_file(EIGHT, kind=2), "of a kind that is not read here"),
        (wav_file(EIGHT, bits=16, kind=3), "of a kind that is not read here"),
        (wav_file(EIGHT, channels=0), "which no crow has"),
        (wav_file(EIGHT, channels=60_000, bits=8), "which no crow has"),
        (wav_file(EIGHT, rate=0), "which no crow has"),
        (wav_file(EIGHT, rate=4_000_000), "which no crow has"),
        (b"RIFF\0\0\0\0WAVEdata\x04\0\0\0abcd", "samples come before"),
        (b"RIFF\0\0\0\0WAVEfmt \x04\0\0\0abcddata\x04\0\0\0abcd", "does not say what its samples are"),
    ],
)
def test_what_is_no_sound_is_refused_with_a_sentence(content: bytes, said: str) -> None:
    with pytest.raises(WavError, match=said):
        parsed(content)


def test_a_block_that_does_not_fit_its_channels_is_refused() -> None:
    content = bytearray(wav_file(EIGHT))
    content[32:34] = struct.pack("<H", 3)
    with pytest.raises(WavError, match="does not fit together"):
        parsed(bytes(content))


@given(st.integers(0, 60), st.binary(max_size=12), st.integers(0, 60))
def test_no_damage_brings_it_down(at: int, put: bytes, end: int) -> None:
    content = wav_file(EIGHT, is_extensible=True)
    damaged = (content[:at] + put + content[at + len(put) :])[: len(content) - end]
    try:
        wav = parsed(damaged)
    except WavError:
        return
    assert wav.samples
    assert len(wav.samples) % (wav.channels * wav.bits // 8) == 0


def test_an_empty_file_and_a_folder_are_said(tmp_path: Path) -> None:
    empty = tmp_path / "empty.wav"
    empty.write_bytes(b"")
    with pytest.raises(WavError, match=r"empty\.wav is empty"):
        read_wav(empty)
    other = tmp_path / "song.wav"
    other.write_bytes(b"OggS")
    with pytest.raises(WavError, match=r"song\.wav is no WAV file"):
        read_wav(other)
