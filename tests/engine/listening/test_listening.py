"""Crows of known content, heard again; and recordings that are no crows."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.listening.crow import CLIPPED, Crow, Unheard, heard
from engine.listening.pitch import cents_from_a4, nearest_note
from engine.listening.sound import sound_of
from engine.listening.suggested import crow_findings, suggestions
from kb.ids import FindingId, QuantityId
from kb.model import Answer, By, Finding, Quantity
from kb.wav import parsed
from tests.support.crows import RATE, Samples, crow, frames, tone, wav_file
from tests.support.small import ruleset, sign

REED = (1.0, 0.7, 0.5, 0.4, 0.3, 0.2)


def hear(samples: Samples, bits: int = 16) -> Crow:
    return heard(sound_of(parsed(wav_file(frames(samples, bits), bits=bits))))


def cents(one: float | None, other: float) -> float:
    assert one is not None
    return abs(cents_from_a4(one) - cents_from_a4(other))


@pytest.mark.parametrize(
    "note,hertz",
    # Printed tables of equal temperament with A4 = 440 Hz (ISO 16:1975), from memory.
    [("C4", 261.626), ("F3", 174.614), ("Bb4", 466.164), ("E2", 82.407), ("A4", 440.0), ("C6", 1046.502)],
)
def test_notes_are_those_of_equal_temperament(note: str, hertz: float) -> None:
    name, beside = nearest_note(hertz)
    assert name == note
    assert beside == pytest.approx(0.0, abs=0.02)


@given(st.integers(-48, 48))
def test_a_semitone_is_a_hundred_cents(steps: int) -> None:
    # 440 · 2^(n/12) Hz is n semitones above A4 (ISO 16; equal temperament).
    assert cents_from_a4(440.0 * 2 ** (steps / 12)) == pytest.approx(100.0 * steps, abs=1e-6)


@pytest.mark.parametrize("hertz", [116.5, 174.6, 207.7, 261.6, 523.3, 987.8])
@pytest.mark.parametrize("partials", [REED, (1.0,), (0.1, 1.0, 0.5, 0.8), (1.0, 0.1, 1.0, 0.1, 0.8)])
def test_a_pitch_is_heard_within_three_cents(hertz: float, partials: tuple[float, ...]) -> None:
    found = hear(crow({hertz: partials}, noise=0.02))
    assert cents(found.pitch, hertz) < 3
    assert found.names == ("one sound",)
    assert found.sway is not None
    assert found.sway < 3


@pytest.mark.parametrize("bits", [8, 16, 24, 32])
def test_every_width_of_sample_gives_the_same_pitch(bits: int) -> None:
    assert cents(hear(crow({196.0: REED}), bits).pitch, 196.0) < 3


def test_float_samples_and_extensible_files_too() -> None:
    data = frames(crow({196.0: REED}), 32, is_float=True)
    for is_extensible in (False, True):
        wav = parsed(wav_file(data, bits=32, kind=3, is_extensible=is_extensible))
        assert cents(heard(sound_of(wav)).pitch, 196.0) < 3
    broken = np.frombuffer(data, "<f4").copy()
    broken[5:900:7] = np.nan
    broken[1000] = np.inf
    wav = parsed(wav_file(broken.tobytes(), bits=32, kind=3))
    assert cents(heard(sound_of(wav)).pitch, 196.0) < 3


def test_of_two_channels_the_louder_is_heard() -> None:
    left, right = 0.02 * tone(300.0, REED), 0.3 * tone(196.0, REED)
    both = np.stack([left, right], axis=1).reshape(-1)
    sound = sound_of(parsed(wav_file(frames(both, 16), channels=2)))
    assert sound.channel == 2
    assert cents(heard(sound).pitch, 196.0) < 3


@pytest.mark.parametrize(
    "pitches",
    [(147.0, 251.0), (165.0, 262.0, 433.0), (180.0, 272.4), (136.5, 227.0, 377.0), (233.0, 349.6, 777.0)],
)
def test_low_middle_and_high_sounds_are_told_apart(pitches: tuple[float, ...]) -> None:
    strengths = (1.0, 0.5, 0.25)[: len(pitches)]
    shape = (1.0, 0.6, 0.4, 0.3)
    found = hear(
        crow({p: [s * x for x in shape] for p, s in zip(pitches, strengths, strict=True)}, noise=0.01)
    )
    assert len(found.voices) == len(pitches)
    assert found.names == {2: ("low", "high"), 3: ("low", "middle", "high")}[len(pitches)]
    for voice, pitch in zip(found.voices, pitches, strict=True):
        assert cents(voice.hertz, pitch) < 3
    # Half the amplitude is 6.02 dB less.
    assert [voice.decibels for voice in found.voices] == pytest.approx(
        [0.0, -6.0, -12.0][: len(pitches)], abs=1.5
    )
    assert found.pitch == found.voices[0].hertz


def test_octaves_of_the_lowest_sound_have_their_strengths() -> None:
    first, octave, second = hear(crow({175.0: (1.0, 0.5, 0.0, 0.25)})).octaves
    assert (first, octave, second) == pytest.approx((0.0, -6.0, -12.0), abs=0.5)


def test_a_crow_that_wavers_and_sinks_is_not_steady() -> None:
    at = np.arange(int(2 * RATE)) / RATE
    hertz = 200.0 * 2 ** ((15 * np.sin(2 * np.pi * at) - 20 * at) / 1200)
    phase = 2 * np.pi * np.cumsum(hertz) / RATE
    found = hear(0.4 * (np.sin(phase) + 0.5 * np.sin(2 * phase)))
    assert found.sway is not None
    assert found.drift is not None
    assert 8 < found.sway < 25
    assert found.drift < -10


def test_silence_air_and_a_click_have_no_pitch() -> None:
    silent = hear(np.zeros(RATE))
    assert (silent.unheard, silent.pitch, silent.names) == (Unheard.SILENT, None, ())
    air = hear(0.2 * np.random.default_rng(2).standard_normal(RATE).clip(-4, 4) / 4)
    assert air.unheard is Unheard.AIR
    assert hear(crow({196.0: REED}, seconds=0.1)).unheard is Unheard.SHORT
    assert hear(np.full(RATE, 0.5)).pitch is None


def test_silence_before_and_after_is_cut_off() -> None:
    quiet = np.zeros(RATE)
    samples = np.concatenate([quiet, crow({196.0: REED}, seconds=1.0), quiet])
    sound = sound_of(parsed(wav_file(frames(samples, 16))))
    assert sound.seconds == pytest.approx(1.0, abs=0.15)
    assert cents(heard(sound).pitch, 196.0) < 3


def test_a_clipped_recording_is_known_and_still_has_its_pitch() -> None:
    sound = sound_of(parsed(wav_file(frames((5 * crow({196.0: REED})).clip(-1, 1), 16))))
    assert sound.clipped > CLIPPED
    assert cents(heard(sound).pitch, 196.0) < 3
    assert sound_of(parsed(wav_file(frames(crow({196.0: REED}), 16)))).clipped == 0.0


def test_of_an_absurdly_long_recording_the_first_minute_is_heard() -> None:
    data = frames(tone(196.0, REED, 1.0, 8000) * 0.2, 8) * 100
    sound = sound_of(parsed(wav_file(data, bits=8, rate=8000)))
    assert sound.is_shortened
    assert sound.seconds <= 60
    assert cents(heard(sound).pitch, 196.0) < 3


def test_noise_beside_the_sounds_is_told() -> None:
    loud, soft = hear(crow({196.0: (1.0,)}, noise=1.0)), hear(crow({196.0: (1.0,)}, noise=0.001))
    assert loud.noise is not None
    assert soft.noise is not None
    assert loud.noise > -10 > -30 > soft.noise


def crowing() -> tuple[Quantity, ...]:
    return (
        Quantity(
            QuantityId("crow-pitch"), "Crow", "Hz", limits=(80, 1000), target=(174.6, 220), precision=2.0
        ),
        Quantity(QuantityId("bocal-pitch"), "On the bocal", "Hz"),
        Quantity(QuantityId("length"), "Length", "mm"),
    )


def test_a_pitch_suggests_a_reading_and_the_answers_that_follow_from_it() -> None:
    asked = Finding(FindingId("wild"), "wild", "Wild?", by=By.CROW)
    rules = ruleset((asked, sign("high", quantity="crow-pitch", above=220.0)), (), quantities=crowing())
    for hertz, answer, beyond in (
        (300.04, Answer.YES, 1),
        (200.0, Answer.NO, 0),
        (220.5, None, 1),
        (90, Answer.NO, -1),
    ):
        (found,) = suggestions(rules, hertz)
        assert (found.quantity.id, found.value) == ("crow-pitch", round(hertz, 1))
        assert found.answers == ((FindingId("high"), answer),)
        assert found.beyond_target == beyond
        assert found.is_plausible
    assert not suggestions(rules, 1500.0)[0].is_plausible
    assert crow_findings(rules) == (asked,)


def test_without_a_quantity_about_the_crow_all_in_hertz_are_offered() -> None:
    assert [one.quantity.id for one in suggestions(ruleset((), (), quantities=crowing()[1:]), 200.0)] == [
        "bocal-pitch"
    ]
    assert suggestions(ruleset((), ()), 200.0) == ()
