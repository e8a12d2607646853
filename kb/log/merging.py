"""Taking another log's entries in: all or none, nothing twice, and in the order in which they happened."""

import sqlite3
from collections.abc import Iterable
from datetime import datetime
from typing import Final

from kb.log.entry import Entry, ReedId
from kb.log.fault import LogError
from kb.log.kept import Absorbed, KeptRuleset
from kb.log.moment import moment
from kb.log.rows import SELECT, entry_of, insert, keep
from kb.log.summary import refresh

_LAST: Final = "SELECT at FROM entry WHERE reed = ? ORDER BY number DESC LIMIT 1"


def absorb(connection: sqlite3.Connection, parts: Iterable[Entry | KeptRuleset]) -> Absorbed:
    """Put in what is not there yet, one part at a time, inside the caller's transaction.

    Raises LogError when an entry of the same id says something else.
    """
    new = known = 0
    before: dict[ReedId, datetime | None] = {}
    crossed: set[ReedId] = set()
    for part in parts:
        if isinstance(part, KeptRuleset):
            keep(connection, part)
            continue
        row = connection.execute(f"{SELECT} WHERE entry.id = ?", (part.id,)).fetchone()
        if row is not None:
            if entry_of(row) != part:
                raise LogError(
                    f"The entry {part.id} is in the log already and says something else there; "
                    "nothing was taken in."
                )
            known += 1
            continue
        if part.reed not in before:
            last = connection.execute(_LAST, (part.reed,)).fetchone()
            before[part.reed] = None if last is None else moment(str(last[0]))
        latest = before[part.reed]
        if latest is not None and moment(part.at) < latest:
            crossed.add(part.reed)
        insert(connection, part)
        new += 1
    for reed in crossed:
        connection.execute(
            "INSERT INTO interleaved SELECT ?1 WHERE NOT EXISTS (SELECT 1 FROM interleaved WHERE reed = ?1)",
            (reed,),
        )
    refresh(connection, before)
    return Absorbed(new, known)
