"""Opening and writing the log's file: settings, versions, and SQLite's faults said in words.

Nothing here knows what an entry is. A file that is not ours, damaged, newer or read-only is never
written to, not even to set a journal mode.
"""

import contextlib
import sqlite3
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from kb.log.fault import DamagedError, LogError
from kb.log.schema import APPLICATION_ID, STEPS, VERSION

_WAIT: Final = 10.0
"""Seconds to wait while another program writes. One write takes milliseconds."""
_HEADER: Final = b"SQLite format 3\0"
_HEADER_SIZE: Final = 100

_CANNOT_WRITE: Final = frozenset({sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM, sqlite3.SQLITE_CANTOPEN})
_NO_ROOM: Final = frozenset({sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR})
_DAMAGED: Final = frozenset({sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB, sqlite3.SQLITE_FORMAT})
_BUSY: Final = frozenset({sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED})


def open_connection(path: Path, *, create: bool, to_read: bool = False) -> tuple[sqlite3.Connection, str]:
    """Open the file for use; the text says why it cannot be written, and is empty when it can.

    `to_read`: it is only looked at, in whatever version it is, and nothing is written to it.
    """
    _look_at_file(path, create=create)
    if to_read:
        return _open_to_read(path, oldest=1), f"{path} is only looked at."
    connection = _connect(path, "rwc" if create else "rw")
    try:
        _prepare(path, connection)
    except sqlite3.Error as error:
        connection.close()
        if _primary(error) not in _CANNOT_WRITE | _NO_ROOM or not path.exists():
            raise fault_of(path, error) from error
        why = in_words(path, error) if _primary(error) in _NO_ROOM else ""
    except BaseException:
        connection.close()
        raise
    else:
        return connection, ""
    # Even then the maker may look at their reeds, and carry them to a better disk.
    why = why or f"The reed log {path} cannot be written to: it or its folder is read-only."
    return _open_to_read(path, oldest=VERSION), why


@contextlib.contextmanager
def write(path: Path, connection: sqlite3.Connection) -> Iterator[None]:
    """Do what stands inside as one transaction: all of it is on disk afterwards, or none."""
    try:
        connection.execute("BEGIN IMMEDIATE")
        try:
            yield
            connection.execute("COMMIT")
        except BaseException:
            # A full disk may have rolled back already; then there is nothing left to undo.
            with contextlib.suppress(sqlite3.Error):
                connection.execute("ROLLBACK")
            raise
    except sqlite3.Error as error:
        raise fault_of(path, error) from error


def fault_of(path: Path, error: sqlite3.Error) -> LogError:
    """Give what SQLite reports as the exception that says it."""
    return (DamagedError if _primary(error) in _DAMAGED else LogError)(in_words(path, error))


def in_words(path: Path, error: sqlite3.Error) -> str:
    """Say what SQLite reports, and what to do about it, in a sentence or two."""
    code = _primary(error)
    if code in _DAMAGED:
        return (
            f"{path} is damaged, or is no reed log. Nothing was changed in it; put it aside and "
            "restore a copy made with `canebrake reeds backup`."
        )
    if code in _BUSY:
        return (
            f"Another program has been writing to the reed log {path} for too long; close it and try again."
        )
    if code == sqlite3.SQLITE_FULL:
        return f"The disk with the reed log {path} is full; make room. What was answered before is kept."
    if code in _CANNOT_WRITE:
        return f"The reed log {path} cannot be opened or written to; look at the permissions of its folder."
    if code == sqlite3.SQLITE_IOERR:
        return (
            f"The disk with the reed log {path} refused to read or write; it may be full, or taken out. "
            "What was answered before is kept."
        )
    return f"The reed log {path} could not be used: {error}."


def _look_at_file(path: Path, *, create: bool) -> None:
    try:
        if path.is_dir():
            raise LogError(f"{path} is a folder; the reed log must be a file.")
        if not path.exists():
            if not create:
                raise LogError(f"There is no reed log at {path}.")
            path.parent.mkdir(parents=True, exist_ok=True)
            return
        with path.open("rb") as file:
            start = file.read(_HEADER_SIZE)
        size = path.stat().st_size
    except OSError as error:
        reason = error.strerror or "it cannot be reached"
        raise LogError(f"The reed log {path} cannot be opened: {reason}.") from error
    # SQLite takes an empty file for a new one, and anything else without this line for damage.
    if start and not start.startswith(_HEADER):
        raise fault_of(path, _not_a_database())
    if start and not _has_journal(path) and size < _size_said(start):
        raise DamagedError(
            f"{path} is cut short: it has {size} bytes of {_size_said(start)}. Nothing was changed in it; "
            "put it aside and restore a copy made with `canebrake reeds backup`."
        )


def _size_said(start: bytes) -> int:
    """Give the bytes that the file's own header speaks of (SQLite file format, 1.3.2 and 1.3.7)."""
    if len(start) < _HEADER_SIZE:
        return _HEADER_SIZE
    page, pages = int.from_bytes(start[16:18], "big"), int.from_bytes(start[28:32], "big")
    # 1 stands for 65536; a count that was not kept up to date (other program, old SQLite) is not believed.
    counted = start[24:28] == start[92:96]
    return (65536 if page == 1 else page) * pages if counted else 0


def _has_journal(path: Path) -> bool:
    """Whether a journal stands beside it from which SQLite will first complete the file."""
    journals = (path.with_name(path.name + suffix) for suffix in ("-wal", "-journal"))
    return any(journal.exists() and journal.stat().st_size > 0 for journal in journals)


def _not_a_database() -> sqlite3.Error:
    error = sqlite3.DatabaseError("file is not a database")
    error.sqlite_errorcode = sqlite3.SQLITE_NOTADB
    return error


def _connect(path: Path, mode: str) -> sqlite3.Connection:
    try:
        connection = sqlite3.connect(
            f"{path.absolute().as_uri()}?mode={mode}", uri=True, timeout=_WAIT, isolation_level=None
        )
        connection.execute("PRAGMA foreign_keys = ON")
        connection.execute("PRAGMA recursive_triggers = ON")
        connection.execute("PRAGMA trusted_schema = OFF")
    except sqlite3.Error as error:
        raise fault_of(path, error) from error
    return connection


def _open_to_read(path: Path, *, oldest: int) -> sqlite3.Connection:
    # In a read-only folder SQLite cannot make the shared memory that a write-ahead log needs. Without
    # a journal beside it the file is whole by itself, and may be read as one that nobody changes.
    connection = _connect(path, "ro" if _has_journal(path) else "ro&immutable=1")
    try:
        version = _check_version(path, connection)
    except sqlite3.Error as error:
        connection.close()
        raise fault_of(path, error) from error
    except LogError:
        connection.close()
        raise
    if version < oldest:
        connection.close()
        raise LogError(
            f"The reed log {path} must first be brought up to this version of canebrake, "
            "and cannot be: it or its folder is read-only."
        )
    return connection


def _prepare(path: Path, connection: sqlite3.Connection) -> None:
    """Check whose file it is, bring it up to this version, and choose how it is written."""
    if _check_version(path, connection) < VERSION:
        _migrate(path, connection)
    mode = ""
    # Another program may hold the file at this very moment; then the mode stays, and is as safe.
    with contextlib.suppress(sqlite3.OperationalError):
        mode = str(connection.execute("PRAGMA journal_mode = WAL").fetchone()[0])
    if not mode:
        mode = str(connection.execute("PRAGMA journal_mode").fetchone()[0])
    connection.execute(f"PRAGMA synchronous = {'FULL' if mode == 'wal' else 'EXTRA'}")
    connection.execute("PRAGMA fullfsync = ON")
    # Taking and giving back the right to write shows now, not at the first answer, that we have it.
    connection.execute("BEGIN IMMEDIATE")
    connection.execute("ROLLBACK")


def _check_version(path: Path, connection: sqlite3.Connection) -> int:
    # Read at one moment: another program may be making the file, and then its tables would stand
    # beside an application that was none yet.
    alone = not connection.in_transaction
    if alone:
        connection.execute("BEGIN")
    try:
        application = int(connection.execute("PRAGMA application_id").fetchone()[0])
        version = int(connection.execute("PRAGMA user_version").fetchone()[0])
        tables = int(connection.execute("SELECT count(*) FROM sqlite_schema").fetchone()[0])
    finally:
        if alone and connection.in_transaction:
            connection.execute("ROLLBACK")
    is_new = application == 0 and version == 0 and tables == 0
    if application != APPLICATION_ID and not is_new:
        raise LogError(f"{path} belongs to another program; nothing was changed in it. Name another folder.")
    if version > VERSION:
        raise LogError(
            f"The reed log {path} was written by a newer canebrake (its format is {version}, this "
            f"version knows {VERSION}); nothing was changed in it. Use the newer one."
        )
    return version


def _migrate(path: Path, connection: sqlite3.Connection) -> None:
    with write(path, connection):
        # Asked again inside: another program may have done it while this one waited.
        version = _check_version(path, connection)
        for statements in STEPS[version:]:
            for statement in statements:
                connection.execute(statement)
        connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        connection.execute(f"PRAGMA user_version = {VERSION}")


def _primary(error: sqlite3.Error) -> int:
    """Give SQLite's result code without its extension."""
    code = getattr(error, "sqlite_errorcode", None)
    return int(code) & 0xFF if isinstance(code, int) else sqlite3.SQLITE_ERROR
