"""`canebrake listen`: what is said of a recording, what is suggested, and what is refused."""

import json
from pathlib import Path

import numpy as np
import pytest

from kb.log.store import ReedLog
from tests.support.crows import crow, frames, wav_file
from tests.support.running import Ran, run_here
from tui.box import log_path

REED = (1.0, 0.7, 0.5, 0.4, 0.3)


@pytest.fixture
def recorded(tmp_path: Path) -> Path:
    path = tmp_path / "crow.wav"
    path.write_bytes(wav_file(frames(crow({196.0: REED}, noise=0.01), 16)))
    return path


def listen(tmp_path: Path, *words: object, width: int = 80) -> Ran:
    return run_here(["listen", *map(str, words)], tmp_path / "home", width=width)


def test_pitch_note_and_steadiness_are_told(tmp_path: Path, recorded: Path) -> None:
    ran = listen(tmp_path, recorded)
    assert (ran.code, ran.err) == (0, "")
    assert "1.5 s, 44100 samples a second, 16 bit." in ran.out
    assert "Crow pitch, the strongest sound: G3 +0 cents (196.0 Hz; -1400 from A4)." in ran.out.replace(
        "\n  ", " "
    )
    assert "It is steady" in ran.out


def test_rules_get_a_reading_to_confirm_and_nothing_is_entered(tmp_path: Path, recorded: Path) -> None:
    assert run_here(["reeds", "new", "Oak 1"], tmp_path / "home").code == 0
    with ReedLog.open(log_path(tmp_path / "home")) as log:
        before = log.count()
    ran = listen(tmp_path, recorded, "bassoon", "--reed", "Oak 1")
    told = " ".join(ran.out.split())
    assert "crow-pitch (Crow pitch, the strongest note in the crow): 196 Hz; within its target" in told
    assert "canebrake reeds measure 'Oak 1' crow-pitch=196" in told
    assert "(crow-lacks-low)" in told
    assert told.endswith("Nothing was entered.")
    assert "bocal-pitch" not in told
    with ReedLog.open(log_path(tmp_path / "home")) as log:
        assert log.count() == before
    entered = run_here(["reeds", "measure", "Oak 1", "crow-pitch=196"], tmp_path / "home")
    assert (entered.code, entered.err) == (0, "") or "ruleset" in entered.err


def test_a_program_reads_the_same(tmp_path: Path, recorded: Path) -> None:
    told = json.loads(listen(tmp_path, recorded, "bassoon", "--json").out)
    assert told["hertz"] == pytest.approx(196.0, abs=0.2)
    assert (told["note"], told["unheard"], told["clipped"]) == ("G3", None, False)
    assert told["suggested"] == [{"quantity": "crow-pitch", "value": 196.0, "plausible": True, "answers": []}]


def test_a_silent_recording_is_no(tmp_path: Path) -> None:
    path = tmp_path / "silence.wav"
    path.write_bytes(wav_file(frames(np.zeros(44_100), 16)))
    ran = listen(tmp_path, path, "bassoon")
    assert ran.code == 1
    assert "Nothing sounds in it." in ran.out


def test_clipping_and_a_cut_file_are_said(tmp_path: Path) -> None:
    path = tmp_path / "loud.wav"
    data = frames((4 * crow({196.0: REED})).clip(-1, 1), 16)
    path.write_bytes(wav_file(data, said=len(data) * 3))
    told = " ".join(listen(tmp_path, path).out.split())
    assert "(clipped)" in told
    assert "The file ends before it says that it does" in told


def test_every_line_fits_a_narrow_screen(tmp_path: Path, recorded: Path) -> None:
    ran = listen(tmp_path, recorded, "bassoon", width=40)
    assert (
        max(len(line) for line in ran.out.splitlines() if str(tmp_path) not in line and "/" not in line) <= 40
    )


def test_what_is_no_recording_no_ruleset_or_no_reed_is_refused(tmp_path: Path, recorded: Path) -> None:
    text = tmp_path / "song.wav"
    text.write_bytes(b"la la la")
    for words, said in (
        ([tmp_path / "none.wav"], "there is no file"),
        ([tmp_path], "is a folder"),
        ([text], "is no WAV file"),
        ([recorded, "no-such"], "no installed ruleset"),
        ([recorded, "--reed", "nobody"], "No reed is called"),
    ):
        ran = listen(tmp_path, *words)
        assert (ran.code, ran.out) == (2, "")
        assert said in ran.err
