"""A log of any earlier version opens, holds what it held, and is then of this version."""

import shutil
import sqlite3
from pathlib import Path

import pytest

from kb.log.entry import Entry as LogEntry
from kb.log.entry import EntryId, Graded, ReedId, Remarked
from kb.log.opening import open_connection
from kb.log.schema import STEPS, VERSION
from kb.log.store import ReedLog

LOGS = Path(__file__).parent / "logs"
"""One real file for each version that was ever used."""


def of_version(number: int, folder: Path) -> Path:
    return Path(shutil.copy(LOGS / f"version-{number}.db", folder / "reeds.db"))


def test_there_is_a_file_of_every_earlier_version() -> None:
    assert sorted(one.name for one in LOGS.iterdir()) == [f"version-{n}.db" for n in range(1, len(STEPS))]


@pytest.mark.parametrize("number", range(1, VERSION))
def test_a_log_of_an_earlier_version_opens_with_all_that_it_held(number: int, tmp_path: Path) -> None:
    path = of_version(number, tmp_path)
    before = sqlite3.connect(path)
    held = before.execute(
        "SELECT number, id, reed, at, mark, kind, body FROM entry ORDER BY number"
    ).fetchall()
    before.close()
    with ReedLog.open(path) as log:
        rows = log._connection.execute("SELECT number, id, reed, at, mark, kind, body FROM entry").fetchall()
        assert rows == held
        assert log._connection.execute("PRAGMA user_version").fetchone() == (VERSION,)
        first, second = sorted(log.histories(), key=lambda reed: reed.id)
        assert (first.name, first.sittings, first.grade) == ("Übereck 7", 3, "concert")
        assert (second.name, second.grade) == ("Zweites", "")
        assert log.ruleset_bases("d" * 64) == (("base.yaml", "canebrake: 1\n"),)
        assert log.faults() == ()
        log.append(LogEntry(EntryId("new"), ReedId("reed-2"), "t", None, Graded("practice")))
        assert {reed.grade for reed in log.histories()} == {"concert", "practice"}


@pytest.mark.parametrize("number", range(1, VERSION))
def test_an_earlier_version_is_looked_at_without_being_touched(number: int, tmp_path: Path) -> None:
    path = of_version(number, tmp_path)
    before = path.read_bytes()
    connection, _ = open_connection(path, create=False, to_read=True)
    assert connection.execute("SELECT count(*) FROM entry").fetchone()[0] > 10
    connection.close()
    assert path.read_bytes() == before
    assert [one.name for one in tmp_path.iterdir()] == ["reeds.db"]


def test_a_step_that_cannot_be_finished_leaves_the_earlier_version(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = of_version(1, tmp_path)
    monkeypatch.setattr("kb.log.opening.STEPS", (*STEPS[:1], (*STEPS[1], "CREATE TABLE entry (x)")))
    with pytest.raises(Exception, match="could not be used"):
        ReedLog.open(path)
    monkeypatch.undo()
    plain = sqlite3.connect(path)
    assert plain.execute("PRAGMA user_version").fetchone() == (1,)
    assert plain.execute("SELECT count(*) FROM sqlite_schema WHERE name = 'summary'").fetchone() == (0,)
    plain.close()
    with ReedLog.open(path) as log:
        log.append(LogEntry(EntryId("new"), ReedId("reed-2"), "t", None, Remarked("goes on")))
        assert log.faults() == ()
