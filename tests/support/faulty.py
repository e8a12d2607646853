"""A small file-system layer that goes wrong on the n-th call: full, read-only, short, forbidden, locked.

It stands between our code and both ways in which it reaches the disk: the calls of `pathlib` and `os`,
and SQLite's connections, whose faults carry the result codes of the real ones.
"""

import errno
import os
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import pytest


@dataclass(frozen=True, slots=True)
class Fault:
    """One way in which a disk says no."""

    name: str
    error: int
    code: int
    """SQLite's."""


FAULTS: Final = (
    Fault("disk full", errno.ENOSPC, sqlite3.SQLITE_FULL),
    Fault("read-only", errno.EROFS, sqlite3.SQLITE_READONLY),
    Fault("short write", errno.EIO, sqlite3.SQLITE_IOERR),
    Fault("permission", errno.EACCES, sqlite3.SQLITE_PERM),
    Fault("locked by another", errno.EAGAIN, sqlite3.SQLITE_BUSY),
)


class Layer:
    """Counts calls, and lets one of them fail."""

    def __init__(self, fault: Fault, fails_at: int) -> None:
        self.fault, self.fails_at, self.calls, self.hit = fault, fails_at, 0, ""

    def meet(self, call: str) -> None:
        """Raise what a file call would raise, when its turn has come."""
        self.calls += 1
        if self.calls == self.fails_at:
            self.hit = call
            raise OSError(self.fault.error, os.strerror(self.fault.error), "a file")

    def meet_in_sqlite(self) -> None:
        """Raise what SQLite would raise, when its turn has come."""
        self.calls += 1
        if self.calls == self.fails_at:
            error = sqlite3.OperationalError(f"injected: {self.fault.name}")
            error.sqlite_errorcode = self.fault.code
            raise error


@contextmanager
def between(layer: Layer) -> Iterator[None]:
    """Put the layer between our code and the disk."""
    real = sqlite3.connect

    class Connection(sqlite3.Connection):
        def execute(self, *words: Any) -> sqlite3.Cursor:
            layer.meet_in_sqlite()
            return super().execute(*words)

        def backup(self, target: sqlite3.Connection, **options: Any) -> None:
            layer.meet_in_sqlite()
            super().backup(target, **options)

    def connect(*words: Any, **options: Any) -> sqlite3.Connection:
        layer.meet_in_sqlite()
        return real(*words, **options, factory=Connection)

    def guarded(name: str, call: Callable[..., Any]) -> Callable[..., Any]:
        def met(*words: Any, **options: Any) -> Any:
            layer.meet(name)
            return call(*words, **options)

        return met

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sqlite3, "connect", connect)
        patch.setattr(os, "fsync", guarded("fsync", os.fsync))
        for name in ("open", "replace", "rename", "hardlink_to", "mkdir", "unlink"):
            patch.setattr(Path, name, guarded(name, getattr(Path, name)))
        yield
