"""What can be going on with a reed log when the power fails: acts, and what must hold whatever happened.

An act is done in a child that may be killed, or whose disk may refuse; `holds` looks at what is left, and
`again` does the act once more, which must then work.
"""

import os
import shutil
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import count
from pathlib import Path
from typing import Final

from kb.ids import FindingId, RulesetId
from kb.log.codec import to_line
from kb.log.entry import Answered, Entry, EntryId, ReedId, ReedMade, Remarked, RulesetMark
from kb.log.exchange import FORMAT, absorb_lines, to_lines
from kb.log.restoring import restore
from kb.log.store import ReedLog
from kb.model import Answer, Ruleset
from tui.desk import ChosenRuleset, Desk

LOGS: Final = Path(__file__).parents[1] / "kb" / "logs"
MANY: Final = 300
NOW: Final = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)

Ack = Callable[[str], None]
"""Told of every entry that was promised to be kept."""


def entries(name: str, many: int = MANY) -> tuple[Entry, ...]:
    """Give a reed of so many entries."""
    reed = ReedId(name)
    made = Entry(EntryId(f"{name}-made"), reed, "t", None, ReedMade(name))
    return (made, *(Entry(EntryId(f"{name}-{n}"), reed, "t", None, Remarked("x" * 50)) for n in range(many)))


def ids(path: Path) -> set[str]:
    """Open a log, look through the whole of it, and give the ids of its entries."""
    with ReedLog.open(path, create=False) as log:
        assert log.faults() == ()
        return {entry.id for entry in log.entries()}


def named(some: Iterable[Entry]) -> set[str]:
    return {entry.id for entry in some}


@dataclass(frozen=True, slots=True)
class Act:
    """One thing that is being done."""

    name: str
    prepare: Callable[[Path], None]
    """Lays the files out in an empty folder."""
    do: Callable[[Path, Ack], None]
    holds: Callable[[Path, set[str]], None]
    """Raises AssertionError when something acknowledged is lost, or something half done is left."""


_RUNS: Final = count()


def _unused() -> str:
    """Give a name that no act of this process or another used."""
    return f"{os.getpid()}-{next(_RUNS)}"


def _log(folder: Path) -> Path:
    return folder / "reeds.db"


def _begun(folder: Path) -> None:
    with ReedLog.open(_log(folder)) as log:
        log.append(*entries("old"))


def _with_copy(folder: Path) -> None:
    _begun(folder)
    with ReedLog.open(folder / "copy.db") as log:
        log.append(*entries("copy"))


def _interview(folder: Path, ack: Ack) -> None:
    finding = FindingId("f")
    ruleset = Ruleset(RulesetId("r"), "R", "1", digest="d" * 64)
    numbers = count()
    with ReedLog.open(_log(folder)) as log:
        chosen = ChosenRuleset(ruleset, "text")
        here = _unused()
        desk = Desk.with_reed(
            log, "at the desk", None, chosen, clock=lambda: NOW, ids=lambda: f"{here}-{next(numbers)}"
        )
        for _ in range(40):
            desk = desk.say(Answered(finding, Answer.YES))
            ack(desk.entries[-1].id)


def _interview_holds(folder: Path, acknowledged: set[str]) -> None:
    assert named(entries("old")) | acknowledged <= ids(_log(folder))


def _lines() -> list[str]:
    mark = RulesetMark(RulesetId("r"), "1", "d" * 64)
    kept = (Entry(e.id, e.reed, e.at, mark, e.what) for e in entries("new", 4 * MANY))
    return [f'{{"canebrake-log":{FORMAT}}}', *(to_line(entry) for entry in kept)]


def _import(folder: Path, ack: Ack) -> None:
    with ReedLog.open(_log(folder)) as log:
        absorb_lines(log, _lines())
    for entry in entries("new", 4 * MANY):
        ack(entry.id)


def _import_holds(folder: Path, acknowledged: set[str]) -> None:
    old, new = named(entries("old")), named(entries("new", 4 * MANY))
    there = ids(_log(folder))
    assert there in (old, old | new)
    assert acknowledged <= there


def _old_version(folder: Path) -> None:
    shutil.copy(LOGS / "version-1.db", _log(folder))


def _migrate(folder: Path, ack: Ack) -> None:
    with ReedLog.open(_log(folder)) as log:
        log.histories()
        log.absorb(entries("later", 5))
    for entry in entries("later", 5):
        ack(entry.id)


def _migrate_holds(folder: Path, acknowledged: set[str]) -> None:
    there = ids(_log(folder))
    assert {f"e-{n}" for n in range(17)} | {"e-90", "e-91", "e-92"} | acknowledged <= there
    assert there & named(entries("later", 5)) in (set(), named(entries("later", 5)))


def _backup(folder: Path, ack: Ack) -> None:
    with ReedLog.open(_log(folder)) as log:
        out = folder / f"out-{_unused()}.db"
        log.backup(out)
    ack(out.name)


def _backup_holds(folder: Path, acknowledged: set[str]) -> None:
    assert ids(_log(folder)) == named(entries("old"))
    made = {one.name for one in folder.glob("out-*.db")}
    assert acknowledged <= made
    assert all(ids(folder / one) == named(entries("old")) for one in made)


def _restore(folder: Path, ack: Ack) -> None:
    restore(_log(folder), folder / "copy.db", folder / f"aside-{_unused()}.db")
    ack("done")


def _restore_holds(folder: Path, acknowledged: set[str]) -> None:
    old, copy = named(entries("old")), named(entries("copy"))
    there = ids(_log(folder))
    assert there in (old, copy)
    assert ids(folder / "copy.db") == copy
    kept = [ids(one) for one in folder.glob("aside-*.db")]
    assert all(one in (old, copy) for one in kept)
    if there == copy:
        assert old in kept
    if acknowledged:
        assert there == copy


def _export(folder: Path, ack: Ack) -> None:
    from kb.disk import write_pieces  # noqa: PLC0415 - as the command does

    with ReedLog.open(_log(folder)) as log:
        write_pieces(folder / "out.jsonl", (f"{line}\n".encode() for line in to_lines(log)))
    ack("done")


def _export_holds(folder: Path, acknowledged: set[str]) -> None:
    assert ids(_log(folder)) == named(entries("old"))
    out = folder / "out.jsonl"
    if acknowledged or out.exists():
        assert len(out.read_text().splitlines()) == MANY + 2


ACTS: Final = (
    Act("interview", _begun, _interview, _interview_holds),
    Act("import", _begun, _import, _import_holds),
    Act("migration", _old_version, _migrate, _migrate_holds),
    Act("backup", _begun, _backup, _backup_holds),
    Act("restore", _with_copy, _restore, _restore_holds),
    Act("export", _begun, _export, _export_holds),
)
