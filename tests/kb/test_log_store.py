"""The reed log on disk: nothing acknowledged is lost, nothing is changed, every fault is a sentence."""

import random
import shutil
import signal
import sqlite3
import subprocess
import sys
import textwrap
import threading
from pathlib import Path

import pytest

from kb.ids import FindingId, PriorityId, QuantityId, RemedyId, RulesetId
from kb.log.codec import from_body, from_line, to_body, to_line
from kb.log.entry import (
    Answered,
    BladeUp,
    Blank,
    Entry,
    EntryId,
    Graded,
    Measured,
    Overviewed,
    Pictured,
    Pinned,
    Played,
    ReedId,
    ReedMade,
    Remarked,
    RemedyDone,
    Renamed,
    Rested,
    RulesetMark,
    SittingOpened,
    Spot,
    Strokes,
    TakenBack,
    ThicknessMeasured,
    Weather,
    What,
)
from kb.log.fault import LogError
from kb.log.schema import APPLICATION_ID, VERSION
from kb.log.store import ReedLog
from kb.model import Answer

REED = ReedId("reed-1")
MARK = RulesetMark(RulesetId("penny-whistle-voicing"), "1.0.0", "d" * 64)
ONE_OF_EACH: tuple[What, ...] = (
    ReedMade("Grünes Band Nr. 3", "notch"),
    Blank(cane="Var 2024, tube 3", gouge="1.25 mm", made_on="2026-11-02"),
    Blank(cane="", built_by="me"),
    Renamed("Übereck 7"),
    BladeUp("plain"),
    SittingOpened(3),
    SittingOpened(4, 21.5, 55.0),
    Weather(-3.0, None),
    Answered(FindingId("low-notes-break"), Answer.SLIGHTLY),
    Overviewed(PriorityId("response"), fine=True, clear=(FindingId("a"), FindingId("b"))),
    Overviewed(PriorityId("response"), fine=False),
    Measured(QuantityId("windway-height"), 1.35),
    Measured(QuantityId("windway-height"), 1.3, (1.25, 1.35), 0.02),
    ThicknessMeasured("tip", (Spot("spine", 1.5, (0.31,), "upper"),)),
    ThicknessMeasured("shoulder", (Spot("rail", 9.0, (0.4, 0.42), "lower", "left"),), 0.005, 27.5),
    RemedyDone(RemedyId("shim-windway")),
    Strokes(3, "heart"),
    Strokes(None),
    Rested(RemedyId("overnight"), new_sitting=True, hours=12.0),
    Played(1.5),
    Pictured("photos/üb.jpg", "the tip against the light"),
    Rested(RemedyId("overnight"), new_sitting=True),
    Rested(None, new_sitting=False),
    Remarked("says “ping” at E♭3, ♯♭ \n second line"),
    Graded("concert", "even over all four quarters"),
    Pinned(MARK),
    TakenBack(EntryId("e-4")),
)


def entry(number: int, what: What, reed: ReedId = REED, mark: RulesetMark | None = MARK) -> Entry:
    return Entry(EntryId(f"e-{number}"), reed, f"2026-11-25T10:{number % 60:02}:00+01:00", mark, what)


def error_of(path: Path) -> str:
    with pytest.raises(LogError) as caught:
        ReedLog.open(path)
    return str(caught.value)


def test_every_kind_of_entry_comes_back_from_disk_as_it_went_in(tmp_path: Path) -> None:
    entries = tuple(entry(number, what) for number, what in enumerate(ONE_OF_EACH))
    entries += (entry(99, Remarked("before any ruleset"), mark=None),)
    with ReedLog.open(tmp_path / "reeds.db") as log:
        for one in entries:
            log.append(one)
    with ReedLog.open(tmp_path / "reeds.db") as log:
        assert log.entries_of(REED) == entries
        assert tuple(log.entries()) == entries
        assert log.marks() == (MARK,)
        assert log.faults() == ()


@pytest.mark.parametrize("what", ONE_OF_EACH, ids=lambda what: type(what).__name__)
def test_every_kind_of_entry_comes_back_from_its_line_of_json(what: What) -> None:
    one = entry(1, what)
    line = to_line(one)
    assert "\n" not in line
    assert from_line(line) == one
    assert from_body(*to_body(what)) == what


def test_a_log_in_a_folder_with_spaces_and_umlauts_is_made_on_first_use(tmp_path: Path) -> None:
    path = tmp_path / "Meine Röhre # 100%?" / "tief unten" / "reeds.db"
    with ReedLog.open(path) as log:
        log.append(entry(1, ReedMade("Übereck")))
    with ReedLog.open(path) as log:
        assert log.count() == 1


def test_the_file_says_whose_it_is_and_is_written_ahead(tmp_path: Path) -> None:
    with ReedLog.open(tmp_path / "reeds.db") as log:
        connection = log._connection
        assert connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)
        assert connection.execute("PRAGMA synchronous").fetchone() == (2,)
        assert connection.execute("PRAGMA application_id").fetchone() == (APPLICATION_ID,)
        assert connection.execute("PRAGMA user_version").fetchone() == (VERSION,)


@pytest.mark.skipif(sys.platform == "win32", reason="the file layers without shared memory are Unix ones")
def test_where_writing_ahead_is_refused_the_classical_journal_is_used_with_extra_care(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # SQLite's own file layer for file systems without shared memory; network shares answer alike.
    real = sqlite3.connect

    def connect(database: str, *, uri: bool, timeout: float, isolation_level: None) -> sqlite3.Connection:
        return real(f"{database}&vfs=unix-dotfile", uri=uri, timeout=timeout, isolation_level=isolation_level)

    monkeypatch.setattr(sqlite3, "connect", connect)
    with ReedLog.open(tmp_path / "reeds.db") as log:
        assert log._connection.execute("PRAGMA journal_mode").fetchone() == ("delete",)
        assert log._connection.execute("PRAGMA synchronous").fetchone() == (3,)
        log.append(entry(1, Remarked("kept")))
        assert log.entries_of(REED) == (entry(1, Remarked("kept")),)


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE entry SET at = 'never'",
        "DELETE FROM entry",
        "INSERT OR REPLACE INTO entry (id, reed, at, kind, body) VALUES ('e-1', 'x', 'x', 'remark', '{}')",
        "REPLACE INTO entry (number, id, reed, at, kind, body) VALUES (1, 'new', 'x', 'x', 'remark', '{}')",
        "UPDATE mark SET digest = ''",
        "DELETE FROM mark",
        "REPLACE INTO mark (number, ruleset, version, digest) VALUES (1, 'x', 'x', 'x')",
        "UPDATE kept_text SET text = ''",
        "DELETE FROM kept_text",
        "REPLACE INTO kept_text (digest, part, name, text) SELECT digest, 0, 'x', 'x' FROM kept_text",
    ],
)
def test_the_file_itself_refuses_to_change_or_lose_anything(tmp_path: Path, statement: str) -> None:
    path = tmp_path / "reeds.db"
    with ReedLog.open(path) as log:
        log.append(entry(1, Remarked("stays")))
        log.keep_ruleset(MARK, "canebrake: 1\n")
    other = sqlite3.connect(path)
    with pytest.raises(sqlite3.IntegrityError, match="only ever grows"):
        other.execute(statement)
    other.close()
    with ReedLog.open(path) as log:
        assert log.entries_of(REED) == (entry(1, Remarked("stays")),)
        assert log.ruleset_text(MARK.digest) == "canebrake: 1\n"


def test_an_entry_that_is_there_already_is_refused_and_the_rest_of_its_batch_with_it(tmp_path: Path) -> None:
    with ReedLog.open(tmp_path / "reeds.db") as log:
        log.append(entry(1, Remarked("one")))
        with pytest.raises(LogError):
            log.append(entry(2, Remarked("two")), entry(1, Remarked("again")))
        assert log.count() == 1
        log.append(entry(3, Remarked("the log goes on")))
        assert log.count() == 2


def test_a_rulesets_text_is_kept_once_with_all_that_it_extends(tmp_path: Path) -> None:
    with ReedLog.open(tmp_path / "reeds.db") as log:
        assert log.ruleset_text(MARK.digest) is None
        log.keep_ruleset(MARK, "canebrake: 1\n", ("base", "id: base\n"))
        log.keep_ruleset(MARK, "something else")
        assert log.ruleset_text(MARK.digest) == "canebrake: 1\n"
        assert log.ruleset_bases(MARK.digest) == (("base", "id: base\n"),)


def test_a_kind_of_entry_from_a_later_version_is_refused_politely_and_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "reeds.db"
    with ReedLog.open(path) as log:
        log.append(entry(1, ReedMade("one")), entry(2, ReedMade("two"), ReedId("reed-2")))
    other = sqlite3.connect(path)
    other.execute("INSERT INTO entry (id, reed, at, kind, body) VALUES ('x', 'reed-1', 't', 'x-ray', '{}')")
    other.commit()
    other.close()
    with ReedLog.open(path) as log:
        with pytest.raises(LogError, match="'x-ray', which this version of canebrake does not know"):
            log.entries_of(REED)
        assert len(log.entries_of(ReedId("reed-2"))) == 1
        assert len(log.faults()) == 1


@pytest.mark.parametrize(
    "kind, body",
    [
        ("answer", "[]"),
        ("answer", "{}"),
        ("answer", '{"finding":"a","answer":"perhaps"}'),
        ("sitting", '{"number":true}'),
    ],
)
def test_a_damaged_entry_is_said_and_not_guessed_at(kind: str, body: str) -> None:
    with pytest.raises(LogError):
        from_body(kind, body)


def test_a_folder_in_the_logs_place_is_said(tmp_path: Path) -> None:
    assert "is a folder" in error_of(tmp_path)


def test_a_file_in_the_folders_place_is_said(tmp_path: Path) -> None:
    (tmp_path / "data").write_text("a file")
    assert "cannot be opened" in error_of(tmp_path / "data" / "reeds.db")


@pytest.mark.parametrize(
    "content", [b"not a database at all, but long enough to look like one" * 40, b"x", b"\0" * 4096]
)
def test_a_file_that_is_no_database_is_said_and_left_as_it_was(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "reeds.db"
    path.write_bytes(content)
    assert "damaged, or is no reed log" in error_of(path)
    assert path.read_bytes() == content
    assert [one.name for one in tmp_path.iterdir()] == ["reeds.db"]


def test_another_programs_database_is_said_and_left_as_it_was(tmp_path: Path) -> None:
    path = tmp_path / "reeds.db"
    other = sqlite3.connect(path)
    other.execute("CREATE TABLE recipe (title TEXT)")
    other.commit()
    other.close()
    before = path.read_bytes()
    assert "belongs to another program" in error_of(path)
    assert path.read_bytes() == before


def test_a_log_of_a_newer_version_is_said_and_left_as_it_was(tmp_path: Path) -> None:
    path = tmp_path / "reeds.db"
    ReedLog.open(path).close()
    other = sqlite3.connect(path)
    other.execute(f"PRAGMA user_version = {VERSION + 1}")
    other.close()
    before = path.read_bytes()
    assert "newer canebrake" in error_of(path)
    assert path.read_bytes() == before


def test_a_page_overwritten_in_the_middle_is_found_or_said_and_never_a_traceback(tmp_path: Path) -> None:
    path = tmp_path / "reeds.db"
    entries = tuple(entry(number, Remarked(f"remark {number} " * 20)) for number in range(300))
    with ReedLog.open(path) as log:
        log.append(*entries)
    whole = path.read_bytes()
    pages = len(whole) // 4096
    assert pages > 20
    found = 0
    for page in range(pages):
        damaged = bytearray(whole)
        damaged[page * 4096 + 100 : page * 4096 + 600] = b"\xa5" * 500
        path.write_bytes(damaged)
        faults, kept = looked_through(path)
        # A stretch of a page that holds nothing may be overwritten without harm.
        assert faults or kept == entries
        found += bool(faults)
    assert found > pages / 2


def looked_through(path: Path) -> tuple[tuple[str, ...], tuple[Entry, ...]]:
    """Give the faults of a log, one of them being that it cannot be opened or read, and its entries."""
    try:
        with ReedLog.open(path) as log:
            return log.faults(), tuple(log.entries())
    except LogError as error:
        return (str(error),), ()


def test_a_full_disk_is_said_and_what_was_written_before_is_kept(tmp_path: Path) -> None:
    path = tmp_path / "reeds.db"
    with ReedLog.open(path) as log:
        log.append(entry(1, Remarked("kept")))
        pages = log._connection.execute("PRAGMA page_count").fetchone()[0]
        log._connection.execute(f"PRAGMA max_page_count = {pages}")
        with pytest.raises(LogError, match="is full; make room"):
            log.append(entry(2, Remarked("too much " * 5000)))
        assert log.entries_of(REED) == (entry(1, Remarked("kept")),)
        log._connection.execute(f"PRAGMA max_page_count = {pages + 100}")
        log.append(entry(3, Remarked("room again")))
    with ReedLog.open(path) as log:
        assert log.count() == 2


def test_a_log_on_a_full_disk_can_still_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "reeds.db"
    with ReedLog.open(path) as log:
        log.append(entry(1, Remarked("kept")))

    def no_room(*_: object) -> None:
        error = sqlite3.OperationalError("disk I/O error")
        error.sqlite_errorcode = sqlite3.SQLITE_IOERR_SHMSIZE
        raise error

    monkeypatch.setattr("kb.log.opening._prepare", no_room)
    with ReedLog.open(path) as log:
        assert log.entries_of(REED) == (entry(1, Remarked("kept")),)
        with pytest.raises(LogError, match="it may be full"):
            log.append(entry(2, Remarked("more")))


def test_a_lock_held_too_long_is_said_and_nothing_is_lost(tmp_path: Path) -> None:
    path = tmp_path / "reeds.db"
    with ReedLog.open(path) as log:
        log._connection.execute("PRAGMA busy_timeout = 50")
        other = sqlite3.connect(path, isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(LogError, match="Another program has been writing"):
            log.append(entry(1, Remarked("waits")))
        other.execute("ROLLBACK")
        other.close()
        log.append(entry(1, Remarked("waits")))
        assert log.count() == 1


def test_a_backup_is_a_whole_log_and_never_overwrites(tmp_path: Path) -> None:
    with ReedLog.open(tmp_path / "reeds.db") as log:
        log.append(entry(1, Remarked("kept")))
        log.backup(tmp_path / "copy.db")
        with pytest.raises(LogError, match="is there already"):
            log.backup(tmp_path / "copy.db")
        with pytest.raises(LogError, match="could not be written"):
            log.backup(tmp_path / "no-such-folder" / "copy.db")
    with ReedLog.open(tmp_path / "copy.db") as copy:
        assert copy.entries_of(REED) == (entry(1, Remarked("kept")),)
        assert copy.faults() == ()
        copy.append(entry(2, Remarked("and goes on")))


APPENDER = textwrap.dedent(
    """
    import sys
    from pathlib import Path
    from kb.log.entry import Entry, EntryId, ReedId, Remarked
    from kb.log.store import ReedLog

    path, name, most = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3])
    with ReedLog.open(path) as log:
        for number in range(most):
            what = Remarked("x" * (number * 37 % 900))
            log.append(Entry(EntryId(f"{name}-{number}"), ReedId("r"), "t", None, what))
            print(f"{name}-{number}", flush=True)
    """
)


def appender(path: Path, name: str, most: int) -> subprocess.Popen[str]:
    command = [sys.executable, "-c", APPENDER, str(path), name, str(most)]
    return subprocess.Popen(command, stdout=subprocess.PIPE, text=True)


def kill_and_look(path: Path, dice: random.Random) -> int:
    """Start an appender, kill it at a random moment, look at what is left; give what was acknowledged."""
    path.parent.mkdir(parents=True, exist_ok=True)
    child = appender(path, "k", 100_000)
    assert child.stdout is not None
    # The moment is drawn as a number of acknowledgements (0: while it is still opening) and a little time.
    wanted = dice.choice([0, 1, 2, dice.randrange(3, 60)])
    told = [child.stdout.readline() for _ in range(wanted)]
    timer = threading.Event()
    timer.wait(dice.random() * (0.25 if wanted == 0 else 0.004))
    child.send_signal(signal.SIGKILL)
    told += child.stdout.readlines()
    child.wait()
    child.stdout.close()
    told = [line for line in told if line.endswith("\n")]
    with ReedLog.open(path) as log:
        kept = [one.id for one in log.entries_of(ReedId("r"))]
        assert log.faults() == ()
    acknowledged = [line.strip() for line in told]
    assert kept[: len(acknowledged)] == acknowledged
    assert len(kept) <= len(acknowledged) + 1
    return len(acknowledged)


def test_a_process_killed_at_a_dozen_random_moments_loses_nothing_acknowledged(tmp_path: Path) -> None:
    dice = random.Random(3)
    told = [kill_and_look(tmp_path / str(number) / "reeds.db", dice) for number in range(12)]
    assert max(told) > 2


@pytest.mark.long
def test_a_process_killed_at_hundreds_of_random_moments_loses_nothing_acknowledged(tmp_path: Path) -> None:
    dice = random.Random(20261125)
    for number in range(300):
        kill_and_look(tmp_path / str(number) / "reeds.db", dice)
        shutil.rmtree(tmp_path / str(number))


def test_two_processes_at_once_make_one_log_with_every_entry_of_both(tmp_path: Path) -> None:
    path = tmp_path / "reeds.db"
    children = [appender(path, name, 60) for name in ("a", "b", "c")]
    ended = [(child.communicate(timeout=60)[0], child.returncode) for child in children]
    for told, code in ended:
        assert len(told.split()) == 60
        assert code == 0
    with ReedLog.open(path) as log:
        kept = [one.id for one in log.entries_of(ReedId("r"))]
        assert log.faults() == ()
    for name in ("a", "b", "c"):
        assert [id_ for id_ in kept if id_.startswith(name)] == [f"{name}-{number}" for number in range(60)]
