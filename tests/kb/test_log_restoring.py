"""Copies go out whole and come back whole; what was there is kept, whatever state it was in."""

import shutil
from pathlib import Path

import pytest

from kb.log.entry import Entry, EntryId, ReedId, ReedMade, Remarked
from kb.log.fault import DamagedError, LogError
from kb.log.restoring import restore
from kb.log.store import ReedLog

LOGS = Path(__file__).parent / "logs"


def remark(number: int, text: str) -> Entry:
    return Entry(
        EntryId(f"{text}-{number}"), ReedId("r"), f"2026-11-25T10:00:{number:02}", None, Remarked(text)
    )


def made(path: Path, text: str, many: int = 3) -> Path:
    with ReedLog.open(path) as log:
        log.append(Entry(EntryId(f"{text}-made"), ReedId("r"), "t", None, ReedMade(text)))
        log.append(*(remark(number, text) for number in range(many)))
    return path


def names(path: Path) -> list[str]:
    with ReedLog.open(path, create=False) as log:
        assert log.faults() == ()
        return [reed.name for reed in log.histories()]


def left_over(folder: Path) -> set[str]:
    return {one.name for one in folder.iterdir() if one.name.startswith(".")}


def test_a_copy_comes_back_into_an_empty_folder(tmp_path: Path) -> None:
    copy = made(tmp_path / "copy.db", "old")
    done = restore(tmp_path / "home" / "reeds.db", copy, tmp_path / "aside.db")
    assert (done.reeds, done.entries, done.aside) == (1, 4, None)
    assert names(tmp_path / "home" / "reeds.db") == ["old"]
    assert left_over(tmp_path / "home") == set()


def test_what_was_there_is_kept_aside_and_whoever_has_it_open_sees_the_restored_one(tmp_path: Path) -> None:
    copy, path = made(tmp_path / "copy.db", "old"), made(tmp_path / "reeds.db", "new", 40)
    with ReedLog.open(path) as elsewhere:
        assert elsewhere.count() == 41
        restore(path, copy, tmp_path / "aside.db")
        assert elsewhere.count() == 4
        elsewhere.append(remark(9, "later"))
    assert names(path) == ["old"]
    assert names(tmp_path / "aside.db") == ["new"]
    with ReedLog.open(path) as log:
        assert log.count() == 5
    assert left_over(tmp_path) == set()


def test_a_copy_of_an_earlier_version_is_brought_up_and_the_copy_stays_as_it_is(tmp_path: Path) -> None:
    copy = Path(shutil.copy(LOGS / "version-1.db", tmp_path / "copy.db"))
    before = copy.read_bytes()
    restore(tmp_path / "reeds.db", copy, tmp_path / "aside.db")
    assert sorted(names(tmp_path / "reeds.db")) == ["Zweites", "Übereck 7"]
    assert copy.read_bytes() == before


@pytest.mark.parametrize("damage", ["cut", "torn", "none of ours"])
def test_a_damaged_log_is_put_aside_as_it_is_and_the_copy_takes_its_place(
    damage: str, tmp_path: Path
) -> None:
    copy, path = made(tmp_path / "copy.db", "old"), made(tmp_path / "reeds.db", "new", 400)
    whole = path.read_bytes()
    spoiled = {
        "cut": whole[: len(whole) // 2],
        "torn": whole[:8192] + b"\xaa" * (len(whole) - 8192),
        "none of ours": b"no database at all",
    }[damage]
    path.write_bytes(spoiled)
    restore(path, copy, tmp_path / "aside.db")
    assert names(path) == ["old"]
    assert (tmp_path / "aside.db").read_bytes() == spoiled


def test_a_damaged_copy_is_refused_and_nothing_changes(tmp_path: Path) -> None:
    copy, path = made(tmp_path / "copy.db", "old", 400), made(tmp_path / "reeds.db", "new")
    whole = copy.read_bytes()
    for spoiled in (whole[: len(whole) // 2], whole[:8192] + b"\xaa" * (len(whole) - 8192), b"text", b""):
        copy.write_bytes(spoiled)
        before = path.read_bytes()
        with pytest.raises(LogError):
            restore(path, copy, tmp_path / "aside.db")
        assert path.read_bytes() == before
        assert left_over(tmp_path) == set()
    with pytest.raises(LogError, match="There is no reed log at"):
        restore(path, tmp_path / "nowhere.db", tmp_path / "aside.db")
    assert names(path) == ["new"]


def test_a_log_that_was_cut_short_is_said_and_left_alone(tmp_path: Path) -> None:
    path = made(tmp_path / "reeds.db", "x", 400)
    whole = path.read_bytes()
    for size in (50, 4096, len(whole) - 1):
        path.write_bytes(whole[:size])
        with pytest.raises(DamagedError, match="cut short"):
            ReedLog.open(path)
        assert path.read_bytes() == whole[:size]


def test_a_copy_never_takes_the_name_of_a_file_that_is_there(tmp_path: Path) -> None:
    path, target = made(tmp_path / "reeds.db", "x"), tmp_path / "target.db"
    target.write_text("precious")
    with ReedLog.open(path) as log, pytest.raises(LogError, match="is there already"):
        log.backup(target)
    assert target.read_text() == "precious"
    with ReedLog.open(path) as log, pytest.raises(LogError, match="no folder"):
        log.backup(tmp_path / "none" / "target.db")
    assert left_over(tmp_path) == set()
