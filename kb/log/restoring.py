"""Bringing a copy back: into an empty folder, or in place of the log that is there, which is kept aside.

In order: the copy is looked through and brought up to this version under another name; the log that is
there is copied aside; only then does the copy take its place, in one step.
"""

import contextlib
from dataclasses import dataclass
from pathlib import Path

from kb.disk import DiskError, name_beside, take_name
from kb.log.copies import copy_out, put_aside
from kb.log.fault import DamagedError, LogError
from kb.log.opening import open_connection
from kb.log.store import ReedLog


@dataclass(frozen=True, slots=True)
class Restored:
    """What came of it."""

    reeds: int
    entries: int
    aside: Path | None
    """Where the log that was there is kept; None where there was none."""


def restore(path: Path, source: Path, aside: Path) -> Restored:
    """Let the log at `path` hold what the copy `source` holds; what was there goes to `aside`.

    Raises LogError; then the log is as it was.
    """
    beside = name_beside(path)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        given, _ = open_connection(source, create=False, to_read=True)
        with contextlib.closing(given):
            copy_out(given, beside)
        reeds, entries = _looked_through(source, beside)
        return Restored(reeds, entries, _put(path, beside, aside))
    except DiskError as error:
        raise LogError(f"{error}.") from error
    except OSError as error:
        raise LogError(f"{path.parent} cannot be used: {(error.strerror or str(error)).lower()}.") from error
    finally:
        for suffix in ("", "-wal", "-shm", "-journal"):
            with contextlib.suppress(OSError):
                beside.with_name(beside.name + suffix).unlink(missing_ok=True)


def _looked_through(source: Path, beside: Path) -> tuple[int, int]:
    with ReedLog.open(beside, create=False) as copy:
        faults = copy.faults()
        if faults:
            raise LogError(f"The copy {source} is not sound ({faults[0]}); nothing was changed.")
        return len(copy.histories()), copy.count()


def _put(path: Path, beside: Path, aside: Path) -> Path | None:
    if not path.exists():
        take_name(beside, path)
        return None
    try:
        with ReedLog.open(path) as old, ReedLog.open(beside) as copy:
            old.backup(aside)
            old.become(copy)
    except DamagedError:
        # It cannot even be read through, so there is nothing to copy: the file itself goes aside.
        put_aside(path, aside)
        take_name(beside, path)
    return aside
