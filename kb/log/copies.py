"""Whole copies of a log: out to a file, and back in. Each is there in one piece, or not at all.

`VACUUM INTO` reads one consistent state while others write; the copy takes its name only when it is on
the disk. Coming back in uses SQLite's own copying of pages, one transaction on the log that is replaced,
so programs that have it open at that moment see the old log or the new one, and a kill leaves the old.
"""

import contextlib
import os
import sqlite3
from pathlib import Path
from typing import Final

from kb.disk import DiskError, name_beside, take_name
from kb.log.fault import DamagedError, LogError
from kb.log.opening import fault_of

_PAUSE: Final = 0.25
"""Seconds between two tries to write over a log that is in use."""
_TRIES: Final = 40


def copy_out(connection: sqlite3.Connection, target: Path) -> None:
    """Write a copy of the log behind `connection`. Raises LogError; then there is no file `target`."""
    if os.path.lexists(target):
        raise LogError(f"{target} is there already; name a new file for the copy.")
    beside = name_beside(target)
    try:
        connection.execute("VACUUM INTO ?", (str(beside),))
        take_name(beside, target)
    except sqlite3.Error as error:
        fault = fault_of(target, error)
        if isinstance(fault, DamagedError):
            raise DamagedError(
                "The log is damaged and could not be copied whole: canebrake reeds check"
            ) from error
        raise LogError(f"The copy {target} could not be written: {_reason(target, error)}") from error
    except DiskError as error:
        raise LogError(f"The copy was not made: {error}.") from error
    finally:
        # Nothing is left of it when it got its name; after a fault, nothing should be.
        for part in (beside, beside.with_name(f"{beside.name}-journal")):
            with contextlib.suppress(OSError):
                part.unlink(missing_ok=True)


def copy_in(given: sqlite3.Connection, connection: sqlite3.Connection) -> None:
    """Put the log behind `given` in place of the one behind `connection`.

    Raises LogError; then nothing changed.
    """
    tries = 0

    def stop_waiting(_status: int, _remaining: int, _total: int) -> None:
        # Called after every try; Python itself would try again for ever while another program writes.
        nonlocal tries
        tries += 1
        if tries > _TRIES:
            raise LogError("Another program is writing to the reed log; close it and try again.")

    given.backup(connection, progress=stop_waiting, sleep=_PAUSE)


def put_aside(path: Path, aside: Path) -> None:
    """Rename a log that cannot be opened, with its journals, so that nothing of it is lost.

    Raises LogError when that is not possible.
    """
    if os.path.lexists(aside):
        raise LogError(f"{aside} is there already.")
    try:
        for suffix in ("-wal", "-shm", "-journal", ""):
            part = path.with_name(path.name + suffix)
            if part.exists():
                part.rename(aside.with_name(aside.name + suffix))
    except OSError as error:
        raise LogError(f"{path} could not be put aside: {(error.strerror or str(error)).lower()}.") from error


def _reason(target: Path, error: sqlite3.Error) -> str:
    code = getattr(error, "sqlite_errorcode", 0) & 0xFF
    if code == sqlite3.SQLITE_FULL:
        return "its disk is full."
    if code in {sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM, sqlite3.SQLITE_READONLY}:
        return f"there is no folder {target.parent}, or it cannot be written to."
    return f"{error}."
