"""Entries, marks and kept texts as rows: the statements that put them in and the reading of what comes out.

Nothing here opens a file or begins a transaction; whoever calls does.
"""

import sqlite3
from typing import Final

from kb.ids import RulesetId
from kb.log.codec import from_body, to_body
from kb.log.entry import Entry, EntryId, ReedId, RulesetMark
from kb.log.kept import KeptRuleset

_COLUMNS: Final = (
    "entry.id, entry.reed, entry.at, mark.ruleset, mark.version, mark.digest, entry.kind, entry.body"
)
_FROM: Final = "FROM entry LEFT JOIN mark ON mark.number = entry.mark"
SELECT: Final = f"SELECT {_COLUMNS} {_FROM}"
"""What `entry_of` reads, to be followed by which entries are meant."""
WALK: Final = (
    f"SELECT entry.number, {_COLUMNS} {_FROM} WHERE entry.number > ? ORDER BY entry.number LIMIT 1000"
)
"""The next thousand entries after a number, each with its own: a walk that holds only a few of them."""


def insert(connection: sqlite3.Connection, entry: Entry) -> int:
    """Put an entry in; give its number."""
    kind, body = to_body(entry.what)
    number = None if entry.mark is None else mark_number(connection, entry.mark)
    added = connection.execute(
        "INSERT INTO entry (id, reed, at, mark, kind, body) VALUES (?, ?, ?, ?, ?, ?)",
        (entry.id, entry.reed, entry.at, number, kind, body),
    )
    return int(added.lastrowid or 0)


def mark_number(connection: sqlite3.Connection, mark: RulesetMark) -> int:
    """Give the number under which the log knows a ruleset, a new one if it must."""
    values = (mark.id, mark.version, mark.digest)
    find = "SELECT number FROM mark WHERE ruleset = ? AND version = ? AND digest = ?"
    found = connection.execute(find, values).fetchone()
    if found is None:
        connection.execute("INSERT INTO mark (ruleset, version, digest) VALUES (?, ?, ?)", values)
        found = connection.execute(find, values).fetchone()
    return int(found[0])


def keep(connection: sqlite3.Connection, kept: KeptRuleset) -> None:
    """Put the texts of a ruleset in, unless they are there."""
    mark_number(connection, kept.mark)
    for part, (name, content) in enumerate(kept.texts):
        connection.execute(
            "INSERT INTO kept_text SELECT ?1, ?2, ?3, ?4 WHERE NOT EXISTS"
            " (SELECT 1 FROM kept_text WHERE digest = ?1 AND part = ?2)",
            (kept.mark.digest, part, name, content),
        )


def entry_of(row: tuple[object, ...]) -> Entry:
    """Read an entry from what `SELECT` gives. Raises LogError when it is damaged."""
    id_, reed, at, ruleset, version, digest, kind, body = (
        None if part is None else str(part) for part in row
    )
    mark = None
    if ruleset is not None:
        mark = RulesetMark(RulesetId(ruleset), str(version), str(digest))
    return Entry(EntryId(str(id_)), ReedId(str(reed)), str(at), mark, from_body(str(kind), str(body)))
