"""The reed log on disk: one SQLite file to which entries are added and from which nothing is taken.

    with ReedLog.open(path) as log:
        log.append(entry)                 # on disk when this returns
        log.entries_of(reed)

Write-ahead logging with `synchronous=FULL`: what was acknowledged survives `kill -9` and a power cut.
Where the file system has no shared memory (network shares) SQLite answers another journal mode; the
answer is read back, and the classical journal is used with `EXTRA`, which is slower and as safe.
"""

import contextlib
import sqlite3
from collections.abc import Iterable, Iterator
from pathlib import Path
from types import TracebackType
from typing import Final, Self

from kb.ids import RulesetId
from kb.log.codec import from_body, to_body
from kb.log.entry import Entry, EntryId, ReedId, RulesetMark
from kb.log.fault import LogError
from kb.log.opening import in_words, open_connection
from kb.log.opening import write as writing

_SELECT: Final = """
    SELECT entry.id, entry.reed, entry.at, mark.ruleset, mark.version, mark.digest, entry.kind, entry.body
    FROM entry LEFT JOIN mark ON mark.number = entry.mark
"""


class ReedLog:
    """An open reed log. Every method raises LogError, with a sentence, when it cannot do its work."""

    def __init__(self, path: Path, connection: sqlite3.Connection, read_only: str) -> None:
        """Take over an open connection; use `ReedLog.open`."""
        self.path = path
        self.read_only = read_only
        """Why nothing can be written, as a sentence; empty when it can."""
        self._connection = connection

    @classmethod
    def open(cls, path: Path, *, create: bool = True) -> Self:
        """Open the log at `path`, made anew when it is not there and `create` is set.

        A log that can be read and not written is opened all the same: `read_only` says why.
        """
        connection, read_only = open_connection(path, create=create)
        return cls(path, connection, read_only)

    def __enter__(self) -> Self:
        """Give the log itself."""
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, where: TracebackType | None
    ) -> None:
        """Close the file."""
        self.close()

    def close(self) -> None:
        """Close the file. What was appended is on disk already."""
        # Closing tidies the journal away, which a full or vanished disk may refuse; nothing is lost by that.
        with contextlib.suppress(sqlite3.Error):
            self._connection.close()

    def append(self, *entries: Entry) -> None:
        """Write entries, all or none; they are on disk when this returns."""
        if not entries:
            return
        with self._writing() as connection:
            for entry in entries:
                _insert(connection, entry)

    def entries_of(self, reed: ReedId) -> tuple[Entry, ...]:
        """Give every entry of one reed, in the order in which they came in, taken-back ones included."""
        rows = self._rows(f"{_SELECT} WHERE entry.reed = ? ORDER BY entry.number", reed)
        return tuple(_entry(row) for row in rows)

    def entries(self) -> Iterator[Entry]:
        """Walk every entry of the log, in the order in which they came in."""
        return (_entry(row) for row in self._rows(f"{_SELECT} ORDER BY entry.number"))

    def has(self, entry: EntryId) -> bool:
        """Whether the log holds this entry."""
        return bool(self._rows("SELECT 1 FROM entry WHERE id = ?", entry))

    def count(self) -> int:
        """Give the number of entries, taken-back ones included."""
        return int(str(self._rows("SELECT count(*) FROM entry")[0][0]))

    def keep_ruleset(self, mark: RulesetMark, text: str, *bases: tuple[str, str]) -> None:
        """Keep the text of a ruleset that is being used, once for each digest.

        `bases` are the names and texts of the files that it extends, nearest first. Nothing is written
        when the digest is there already.
        """
        if self.ruleset_text(mark.digest) is not None:
            return
        with self._writing() as connection:
            _mark_number(connection, mark)
            for part, (name, content) in enumerate(((mark.id, text), *bases)):
                connection.execute(
                    "INSERT INTO kept_text SELECT ?1, ?2, ?3, ?4 WHERE NOT EXISTS"
                    " (SELECT 1 FROM kept_text WHERE digest = ?1 AND part = ?2)",
                    (mark.digest, part, name, content),
                )

    def ruleset_text(self, digest: str) -> str | None:
        """Give the kept text of the ruleset with this digest, or None."""
        rows = self._rows("SELECT text FROM kept_text WHERE digest = ? AND part = 0", digest)
        return str(rows[0][0]) if rows else None

    def ruleset_bases(self, digest: str) -> tuple[tuple[str, str], ...]:
        """Give names and texts of what the ruleset with this digest extends, nearest first."""
        rows = self._rows(
            "SELECT name, text FROM kept_text WHERE digest = ? AND part > 0 ORDER BY part", digest
        )
        return tuple((str(name), str(text)) for name, text in rows)

    def kept_digests(self) -> tuple[str, ...]:
        """Give the digests of all kept rulesets."""
        return tuple(
            str(row[0]) for row in self._rows("SELECT DISTINCT digest FROM kept_text ORDER BY digest")
        )

    def absorb(self, entries: Iterable[Entry]) -> int:
        """Take in entries of another log, all or none; give how many were new.

        What is there already is left out. Raises LogError when an entry of the same id says something else.
        """
        new = 0
        with self._writing() as connection:
            for entry in entries:
                row = connection.execute(f"{_SELECT} WHERE entry.id = ?", (entry.id,)).fetchone()
                if row is None:
                    _insert(connection, entry)
                    new += 1
                elif _entry(row) != entry:
                    raise LogError(
                        f"The entry {entry.id} is in the log already and says something else there; "
                        "nothing was taken in."
                    )
        return new

    def marks(self) -> tuple[RulesetMark, ...]:
        """Give every ruleset that the log has met, in that order."""
        rows = self._rows("SELECT ruleset, version, digest FROM mark ORDER BY number")
        return tuple(
            RulesetMark(RulesetId(str(id_)), str(version), str(digest)) for id_, version, digest in rows
        )

    def backup(self, target: Path) -> None:
        """Copy the log into a new file, whole and consistent even while others write to it."""
        if target.exists():
            raise LogError(f"{target} is there already; name a new file for the copy.")
        try:
            self._connection.execute("VACUUM INTO ?", (str(target),))
        except sqlite3.Error as error:
            with contextlib.suppress(OSError):
                target.unlink(missing_ok=True)
            raise LogError(f"The copy {target} could not be written: {error}.") from error

    def faults(self) -> tuple[str, ...]:
        """Look through the whole file; give what is wrong with it as sentences, none when it is sound."""
        found = [str(row[0]) for row in self._rows("PRAGMA integrity_check") if row[0] != "ok"]
        found += [
            f"entry {row[1]} names a ruleset that is not there"
            for row in self._rows("PRAGMA foreign_key_check")
        ]
        for row in self._rows(f"{_SELECT} ORDER BY entry.number"):
            try:
                _entry(row)
            except LogError as error:
                found.append(f"entry {row[0]}: {error}")
        return tuple(found)

    @contextlib.contextmanager
    def _writing(self) -> Iterator[sqlite3.Connection]:
        if self.read_only:
            raise LogError(self.read_only)
        with writing(self.path, self._connection):
            yield self._connection

    def _rows(self, query: str, *values: str) -> list[tuple[object, ...]]:
        try:
            return self._connection.execute(query, values).fetchall()
        except sqlite3.Error as error:
            raise LogError(in_words(self.path, error)) from error


def _insert(connection: sqlite3.Connection, entry: Entry) -> None:
    kind, body = to_body(entry.what)
    number = None if entry.mark is None else _mark_number(connection, entry.mark)
    connection.execute(
        "INSERT INTO entry (id, reed, at, mark, kind, body) VALUES (?, ?, ?, ?, ?, ?)",
        (entry.id, entry.reed, entry.at, number, kind, body),
    )


def _mark_number(connection: sqlite3.Connection, mark: RulesetMark) -> int:
    values = (mark.id, mark.version, mark.digest)
    find = "SELECT number FROM mark WHERE ruleset = ? AND version = ? AND digest = ?"
    found = connection.execute(find, values).fetchone()
    if found is None:
        connection.execute("INSERT INTO mark (ruleset, version, digest) VALUES (?, ?, ?)", values)
        found = connection.execute(find, values).fetchone()
    return int(found[0])


def _entry(row: tuple[object, ...]) -> Entry:
    id_, reed, at, ruleset, version, digest, kind, body = (
        None if part is None else str(part) for part in row
    )
    mark = None
    if ruleset is not None:
        mark = RulesetMark(RulesetId(ruleset), str(version), str(digest))
    return Entry(EntryId(str(id_)), ReedId(str(reed)), str(at), mark, from_body(str(kind), str(body)))
