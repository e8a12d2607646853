"""What every reed is now, kept beside its entries, so that a box of a thousand reeds opens at once.

A summary is nothing but a memory of a fold: it says through which entry it was folded, and one that is
missing or lags behind is folded anew from the entries. It can be thrown away without loss.
"""

import json
import sqlite3
from collections.abc import Iterable
from dataclasses import asdict
from typing import Final

from kb.ids import RemedyId, RulesetId
from kb.log.entry import Blank, Entry, ReedId, RulesetMark
from kb.log.fault import LogError
from kb.log.moment import moment
from kb.log.replay import ReedHistory, Resting, followed, history
from kb.log.rows import SELECT, entry_of

# One seek in the index for each reed, instead of a walk over all its entries.
_EVERY: Final = """
    WITH RECURSIVE one (reed) AS (
        SELECT min(reed) FROM entry
        UNION ALL
        SELECT (SELECT min(reed) FROM entry WHERE reed > one.reed) FROM one WHERE one.reed IS NOT NULL
    )
    SELECT one.reed, (SELECT max(number) FROM entry WHERE entry.reed = one.reed),
           summary.through, summary.body
    FROM one LEFT JOIN summary ON summary.reed = one.reed
    WHERE one.reed IS NOT NULL
"""


def ordered_entries(connection: sqlite3.Connection, reed: ReedId) -> tuple[Entry, ...]:
    """Give every entry of one reed in the order in which they happened, taken-back ones included.

    That is the order in which they came in; only where two logs went on with the same reed, and one
    was taken into the other, it is the order of their times.
    """
    rows = connection.execute(f"{SELECT} WHERE entry.reed = ? ORDER BY entry.number", (reed,)).fetchall()
    entries = tuple(entry_of(row) for row in rows)
    if is_interleaved(connection, reed):
        return tuple(sorted(entries, key=lambda entry: moment(entry.at)))
    return entries


def is_interleaved(connection: sqlite3.Connection, reed: ReedId) -> bool:
    """Whether two logs went on with this reed before they were brought together."""
    return connection.execute("SELECT 1 FROM interleaved WHERE reed = ?", (reed,)).fetchone() is not None


def refresh(connection: sqlite3.Connection, reeds: Iterable[ReedId]) -> None:
    """Fold these reeds anew and keep what comes out."""
    for reed in reeds:
        entries = ordered_entries(connection, reed)
        if entries:
            _keep(connection, history(entries), _last_number(connection, reed))


def follow(connection: sqlite3.Connection, entry: Entry, number: int) -> None:
    """Bring the summary of a reed up to the entry that has just been put in as `number`."""
    row = connection.execute(
        "SELECT summary.through, summary.body,"
        " (SELECT max(number) FROM entry WHERE reed = ?1 AND number < ?2)"
        " FROM (SELECT 1) LEFT JOIN summary ON summary.reed = ?1",
        (entry.reed, number),
    ).fetchone()
    through, body, before = row
    known = _read(str(body)) if body is not None and through == before else None
    is_whole = known is not None or before is None
    then = followed(known, entry) if is_whole and not is_interleaved(connection, entry.reed) else None
    if then is None:
        refresh(connection, (entry.reed,))
    else:
        _keep(connection, then, number)


def kept(connection: sqlite3.Connection) -> tuple[tuple[ReedHistory, ...], tuple[ReedId, ...]]:
    """Give what is remembered and up to date, and the reeds of which nothing is."""
    told, behind = [], []
    for reed, last, through, body in connection.execute(_EVERY).fetchall():
        known = _read(str(body)) if body is not None and through == last else None
        if known is None:
            behind.append(ReedId(str(reed)))
        else:
            told.append(known)
    return tuple(told), tuple(behind)


def wrong(connection: sqlite3.Connection) -> tuple[ReedId, ...]:
    """Give the reeds whose summary is not what their entries tell."""
    told, _ = kept(connection)
    return tuple(one.id for one in told if not _agrees(connection, one))


def _agrees(connection: sqlite3.Connection, told: ReedHistory) -> bool:
    try:
        return history(ordered_entries(connection, told.id)) == told
    except (LogError, ValueError):
        return True  # the entry itself is the fault, and is said


def _last_number(connection: sqlite3.Connection, reed: ReedId) -> int:
    return int(connection.execute("SELECT max(number) FROM entry WHERE reed = ?", (reed,)).fetchone()[0])


def _keep(connection: sqlite3.Connection, told: ReedHistory, through: int) -> None:
    body = json.dumps(asdict(told), ensure_ascii=False, separators=(",", ":"))
    connection.execute(
        "INSERT INTO summary (reed, through, body) VALUES (?1, ?2, ?3)"
        " ON CONFLICT (reed) DO UPDATE SET through = ?2, body = ?3",
        (told.id, through, body),
    )


def _read(body: str) -> ReedHistory | None:
    """Read back a summary; None when it is damaged, and then it is folded anew."""
    try:
        parts = json.loads(body)
        mark, resting, blank = parts.pop("mark"), parts.pop("resting"), parts.pop("blank")
        return ReedHistory(
            **parts,
            mark=None
            if mark is None
            else RulesetMark(RulesetId(mark["id"]), mark["version"], mark["digest"]),
            resting=None if resting is None else _resting(**resting),
            blank=Blank(**blank),
        )
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
        return None


def _resting(rest: str | None, since: str, hours: float | None, new_sitting: bool) -> Resting:  # noqa: FBT001 - named by the keys of the text
    return Resting(None if rest is None else RemedyId(rest), since, hours, new_sitting)
