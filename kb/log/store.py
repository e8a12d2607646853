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
from typing import Self

from kb.ids import RulesetId
from kb.log import copies, merging, summary
from kb.log.entry import Entry, EntryId, ReedId, RulesetMark
from kb.log.fault import LogError
from kb.log.kept import Absorbed, KeptRuleset
from kb.log.opening import fault_of, open_connection
from kb.log.opening import write as writing
from kb.log.replay import ReedHistory, history
from kb.log.rows import WALK, entry_of, insert, keep


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
                summary.follow(connection, entry, insert(connection, entry))

    def entries_of(self, reed: ReedId) -> tuple[Entry, ...]:
        """Give every entry of one reed, in the order in which they happened, taken-back ones included."""
        with self._reading() as connection:
            return summary.ordered_entries(connection, reed)

    def entries(self) -> Iterator[Entry]:
        """Walk every entry of the log, in the order in which they came in."""
        yield from (entry_of(row) for _, row in self._walk())

    def reeds(self) -> tuple[ReedId, ...]:
        """Give every reed of which there is an entry, in the order of their first."""
        rows = self._rows("SELECT reed FROM entry GROUP BY reed ORDER BY min(number)")
        return tuple(ReedId(str(row[0])) for row in rows)

    def histories(self) -> tuple[ReedHistory, ...]:
        """Give what every reed is now, by its id. What is not remembered is folded, and then remembered."""
        with self._reading() as connection:
            told, behind = summary.kept(connection)
            if not behind:
                return told
            folded = tuple(history(summary.ordered_entries(connection, reed)) for reed in behind)
        if not self.read_only:
            # It only saves time the next time: a full disk must not keep the maker from their box.
            with contextlib.suppress(LogError), self._writing() as connection:
                summary.refresh(connection, behind)
        return tuple(sorted((*told, *folded), key=lambda reed: reed.id))

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
            keep(connection, KeptRuleset(mark, ((mark.id, text), *bases)))

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

    def absorb(self, parts: Iterable[Entry | KeptRuleset]) -> Absorbed:
        """Take in entries and kept texts of another log, all or none; what is there already is left out.

        Raises LogError when an entry of the same id says something else.
        """
        with self._writing() as connection:
            return merging.absorb(connection, parts)

    def marks(self) -> tuple[RulesetMark, ...]:
        """Give every ruleset that the log has met, in that order."""
        rows = self._rows("SELECT ruleset, version, digest FROM mark ORDER BY number")
        return tuple(
            RulesetMark(RulesetId(str(id_)), str(version), str(digest)) for id_, version, digest in rows
        )

    def backup(self, target: Path) -> None:
        """Copy the log into a new file, whole and consistent even while others write to it.

        The file is there when it is whole, or not at all.
        """
        with self._reading() as connection:
            copies.copy_out(connection, target)

    def become(self, other: Self) -> None:
        """Hold what the other log holds, in one piece. Nothing of its own stays."""
        if self.read_only:
            raise LogError(self.read_only)
        with self._reading() as connection, other._reading() as given:
            copies.copy_in(given, connection)

    def faults(self) -> tuple[str, ...]:
        """Look through the whole file; give what is wrong with it as sentences, none when it is sound."""
        found = [str(row[0]) for row in self._rows("PRAGMA integrity_check") if row[0] != "ok"]
        found += [
            f"entry {row[1]} names a ruleset that is not there"
            for row in self._rows("PRAGMA foreign_key_check")
        ]
        for id_, row in self._walk():
            try:
                entry_of(row)
            except LogError as error:
                found.append(f"entry {id_}: {error}")
        with self._reading() as connection:
            found += [
                f"what is remembered of the reed {reed} is not what its entries tell"
                for reed in summary.wrong(connection)
            ]
        return tuple(found)

    def _walk(self) -> Iterator[tuple[str, tuple[object, ...]]]:
        """Give every row that `entry_of` reads, with its entry's id, holding only a few at once."""
        after = 0
        while rows := self._rows(WALK, after):
            after = int(str(rows[-1][0]))
            yield from ((str(row[1]), row[1:]) for row in rows)

    @contextlib.contextmanager
    def _writing(self) -> Iterator[sqlite3.Connection]:
        if self.read_only:
            raise LogError(self.read_only)
        with writing(self.path, self._connection):
            yield self._connection

    @contextlib.contextmanager
    def _reading(self) -> Iterator[sqlite3.Connection]:
        try:
            yield self._connection
        except sqlite3.Error as error:
            raise fault_of(self.path, error) from error

    def _rows(self, query: str, *values: str | int) -> list[tuple[object, ...]]:
        with self._reading() as connection:
            return connection.execute(query, values).fetchall()
