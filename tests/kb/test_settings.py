"""The settings file: read if it can be, never in the way, and nobody else's lines lost."""

from pathlib import Path

import pytest

from kb.notes import NoteNames
from kb.settings import CHOICES, FILE, Settings, read_settings, said_setting, write_setting, write_units
from kb.units import Length


def test_without_a_file_lengths_are_in_millimetres(tmp_path: Path) -> None:
    assert read_settings(tmp_path / "none") == Settings(Length.MM)


def test_what_is_written_is_read(tmp_path: Path) -> None:
    for units in (Length.INCH, Length.MM, Length.INCH):
        assert write_units(tmp_path / "new folder", units).name == FILE
        assert read_settings(tmp_path / "new folder") == Settings(units)


def test_other_lines_of_the_file_are_kept(tmp_path: Path) -> None:
    before = '# mine\nunits = "mm"  # for now\nother = 3\n\n[later]\nunits = "furlongs"\n'
    (tmp_path / FILE).write_text(before)
    write_units(tmp_path, Length.INCH)
    assert (tmp_path / FILE).read_text() == before.replace('"mm"  # for now', '"inch"')


def test_a_table_of_a_later_version_stays_below(tmp_path: Path) -> None:
    (tmp_path / FILE).write_text('[later]\nunits = "furlongs"\n')
    write_units(tmp_path, Length.INCH)
    assert read_settings(tmp_path) == Settings(Length.INCH)


@pytest.mark.parametrize(
    "content, part",
    [
        (b"units = ", "are not TOML"),
        (b"\xff\xfe", "are not TOML"),
        (b'units = "cubit"', "unknown units"),
        (b"units = 3", "unknown units"),
        (b"units = [1]", "unknown units"),
        (b"#" * 100_000, "far too large"),
    ],
)
def test_a_file_that_cannot_be_followed_is_said_and_stops_nothing(
    tmp_path: Path, content: bytes, part: str
) -> None:
    (tmp_path / FILE).write_bytes(content)
    read = read_settings(tmp_path)
    assert read.units is Length.MM
    assert part in read.problem


def test_a_folder_in_the_files_place_is_said(tmp_path: Path) -> None:
    (tmp_path / FILE).mkdir()
    assert "cannot be read" in read_settings(tmp_path).problem


def test_a_broken_file_is_put_aside_and_not_lost(tmp_path: Path) -> None:
    (tmp_path / FILE).write_text("units = ")
    write_units(tmp_path, Length.INCH)
    assert read_settings(tmp_path) == Settings(Length.INCH)
    assert (tmp_path / f"{FILE}.old").read_text() == "units = "


@pytest.mark.parametrize("key", CHOICES)
def test_every_setting_is_written_and_read(key: str, tmp_path: Path) -> None:
    for value in CHOICES[key]:
        write_setting(tmp_path, key, value)
        assert said_setting(read_settings(tmp_path), key) == value
    usual = Settings()
    assert said_setting(usual, key) == CHOICES[key][0]


def test_one_unknown_setting_leaves_the_others_in_force(tmp_path: Path) -> None:
    (tmp_path / FILE).write_text('notes = "nobodys"\nring = "on"\nunits = "inch"\n')
    read = read_settings(tmp_path)
    assert (read.notes, read.ring, read.units) == (NoteNames.ENGLISH, True, Length.INCH)
    assert "unknown notes" in read.problem
