"""Bytes from disk and bytes to disk: one bounded reader, one writer that writes all or nothing.

Separate so that every input file and every `-o` behaves alike: the same sentence for a missing
file, the same promise that a full disk or a lost plug leaves the old file as it was.
"""

import os
import stat
import sys
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from glob import escape as glob_escape
from itertools import islice
from pathlib import Path
from typing import Final

LIMIT: Final = 8 * 1024 * 1024
"""Bytes of the longest ruleset that is read."""


_MOST_NAMES: Final = 500
"""Names in a folder that are looked through for one that was meant."""

_STALE: Final = 600
"""Seconds after which nobody is still writing into a hidden folder."""


class DiskError(Exception):
    """The bytes could not be had, or could not be kept. Its text is one sentence for the user."""


def read_bounded(path: Path, limit: int = LIMIT) -> bytes:
    """Read a whole file, but never more than `limit` + 1 bytes of it.

    One byte over the limit is handed back on purpose: whoever judges the text then says that it
    is too long, as a fault of the file. Raises `DiskError` when there are no bytes to be had: a
    missing file, a folder, no permission.
    """
    try:
        with path.open("rb") as stream:
            if not stat.S_ISREG(os.fstat(stream.fileno()).st_mode) and path.is_dir():
                raise DiskError(f"{path} is a folder, not a file")
            return stream.read(limit + 1)
    except OSError as error:
        raise DiskError(_why_unread(path, error)) from error
    except ValueError as error:  # a NUL in the name
        raise DiskError(f"{str(path)!r} cannot be the name of a file") from error


def read_own(path: Path, limit: int) -> bytes:
    """Read a file that only its user's programs write; nothing where there is none that can be relied on.

    A link, a pipe, a file that is longer than `limit` or belongs to somebody else count as not there.
    """
    try:
        found = path.lstat()
        ours = sys.platform == "win32" or found.st_uid == os.geteuid()
        return path.read_bytes() if ours and stat.S_ISREG(found.st_mode) and found.st_size <= limit else b""
    except OSError:
        return b""


def keep_few(folder: Path, pattern: str, most: int) -> None:
    """Remove all but the newest `most` files of this pattern, and what killed processes left of any."""
    files = sorted(((path.lstat().st_mtime, path) for path in folder.glob(pattern)), reverse=True)
    for _, path in files[most:]:
        path.unlink(missing_ok=True)
    for path in folder.glob(".*.part"):
        if files and path.lstat().st_mtime < files[0][0] - _STALE:
            path.unlink(missing_ok=True)


Stamp = tuple[int, int, int]
"""When a file was last changed, how long it is, and which file it is."""


def stamp(path: Path) -> Stamp | None:
    """Give what changes when a file is saved, in place or by another that takes its name; None: no file."""
    try:
        found = path.stat()
    except (OSError, ValueError):
        return None
    return found.st_mtime_ns, found.st_size, found.st_ino


def write_whole(path: Path, content: bytes) -> None:
    """Write a file in one piece: afterwards it holds all of `content`, or what it held before."""
    write_pieces(path, (content,))


def write_pieces(path: Path, pieces: Iterable[bytes]) -> None:
    """Write a file, too long to be held at once, in one piece: all of it is there afterwards, or nothing.

    The bytes go to a new file beside it, are flushed to the disk, and take its name only then.
    A file that is already there keeps its permissions. What is no file (`/dev/null`, a pipe) is
    written into as it stands: taking its name away would break it for everyone else. Raises
    `DiskError` when it did not work.
    """
    if _is_stream(path):
        _write_into(path, pieces)
        return
    target = path.resolve() if path.is_symlink() or path.name in {"", ".."} else path
    if not target.name:
        raise DiskError(f"{path} is a folder, not a file")
    beside = name_beside(target)
    try:
        with beside.open("xb") as stream:
            stream.writelines(pieces)
            stream.flush()
            os.fsync(stream.fileno())
        if target.exists():
            beside.chmod(stat.S_IMODE(target.stat().st_mode))
        beside.replace(target)
        _settle(target.parent)
    except OSError as error:
        raise DiskError(_why_unwritten(path, error)) from error
    except ValueError as error:
        raise DiskError(f"{str(path)!r} cannot be the name of a file") from error
    finally:
        # It is gone when it took its name; otherwise, whatever stopped us, nothing shall be left of it.
        with suppress(OSError, ValueError):
            beside.unlink(missing_ok=True)


def write_folder(folder: Path, files: Mapping[str, bytes]) -> bool:
    """Write a new folder in one piece: afterwards all of `files` are in it, or there is no such folder.

    The names are trusted: judge them first. Everything goes into a hidden folder beside it, is
    flushed, and takes its name only then. A folder that holds these very files already is left as it
    is, and False given; one that holds anything else is never written into. Raises `DiskError`.
    """
    beside = name_beside(folder.absolute())
    try:
        if _is_filled(folder, files):
            return False
        target = folder.resolve()
        beside = name_beside(target)
        beside.mkdir()
        for name, content in files.items():
            path = beside / name
            path.parent.mkdir(parents=True, exist_ok=True)
            with path.open("xb") as stream:
                stream.write(content)
                stream.flush()
                os.fsync(stream.fileno())
        if target.exists():
            target.rmdir()  # it is empty; Windows renames over nothing
        beside.rename(target)
        _settle(target.parent)
        _sweep(target)
    except OSError as error:
        raise DiskError(_why_unwritten(folder, error)) from error
    except ValueError as error:
        raise DiskError(f"{str(folder)!r} cannot be the name of a folder") from error
    finally:
        remove_folder(beside)
    return True


def _is_filled(folder: Path, files: Mapping[str, bytes]) -> bool:
    """Whether a folder holds the files already. Raises `DiskError` when something else is there."""
    if folder.is_symlink():
        raise DiskError(f"{folder} is a link; name a new folder")
    if not folder.exists():
        return False
    if not folder.is_dir():
        raise DiskError(f"{folder} is a file, not a folder")
    if holds(folder, files):
        return True
    if any(folder.iterdir()):
        raise DiskError(f"{folder} is there already and holds something else; name a new folder")
    return False


def _sweep(folder: Path) -> None:
    """Remove what processes that were killed left of a folder of this name: hidden, and long untouched."""
    newest = folder.stat().st_mtime - _STALE
    for part in folder.parent.glob(f".{glob_escape(folder.name[:80])}.????????.part"):
        if part.lstat().st_mtime < newest:
            remove_folder(part)


@contextmanager
def alone(path: Path, said: str) -> Iterator[None]:
    """Hold a file for as long as something takes that two processes must not do at once.

    A killed process lets go by itself. Raises `DiskError` with `said` when another one holds it.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        stream = path.open("ab")
    except OSError as error:
        raise DiskError(_why_unwritten(path, error)) from error
    with stream:
        try:
            _hold(stream.fileno())
        except OSError as error:
            raise DiskError(said) from error
        yield


def _hold(handle: int) -> None:
    """Take the one lock that a file has, or raise OSError at once."""
    if sys.platform == "win32":
        import msvcrt  # noqa: PLC0415 - there is none elsewhere

        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
    else:
        import fcntl  # noqa: PLC0415 - there is none on Windows

        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)


def holds(folder: Path, files: Mapping[str, bytes]) -> bool:
    """Whether a folder holds these files, each with these very bytes, and no link among them."""
    for name, content in files.items():
        path = folder / name
        try:
            if path.is_symlink() or path.stat().st_size != len(content) or path.read_bytes() != content:
                return False
        except OSError:
            return False
    return True


def remove_folder(folder: Path) -> None:
    """Remove a folder of ours and all that is in it, following no link. What is not there is no fault."""
    if folder.is_dir() and not folder.is_symlink():
        import shutil  # noqa: PLC0415 - only where folders are shared

        shutil.rmtree(folder, ignore_errors=True)


def name_beside(path: Path) -> Path:
    """Give a new hidden name in the same folder, for a file that is not whole yet."""
    return path.with_name(f".{path.name[:80]}.{os.urandom(4).hex()}.part")


def take_name(whole: Path, path: Path, *, instead: bool = False) -> None:
    """Give a file that was written under another name in the same folder its own, once it is on the disk.

    A file that has the name already is left alone and `DiskError` raised, unless it shall go (`instead`).
    """
    try:
        with whole.open("r+b") as stream:
            os.fsync(stream.fileno())
        if instead:
            whole.replace(path)
        else:
            _take_free_name(whole, path)
        _settle(path.parent)
    except FileExistsError as error:
        raise DiskError(f"{path} is there already; name a new file") from error
    except OSError as error:
        raise DiskError(_why_unwritten(path, error)) from error


def _take_free_name(whole: Path, path: Path) -> None:
    # A second name for the same file is refused where the first is taken, so nothing is ever overwritten.
    # Some file systems (memory sticks) know no second names; there we look first.
    try:
        path.hardlink_to(whole)
    except FileExistsError:
        raise
    except OSError:
        if path.exists():
            raise FileExistsError(str(path)) from None
        whole.rename(path)
    else:
        whole.unlink()


def _is_stream(path: Path) -> bool:
    """Whether `path` leads to a device or a pipe."""
    try:
        mode = path.stat().st_mode
    except (OSError, ValueError):
        return False
    return not stat.S_ISREG(mode) and not stat.S_ISDIR(mode)


def _write_into(path: Path, pieces: Iterable[bytes]) -> None:
    try:
        with path.open("wb") as stream:
            stream.writelines(pieces)
    except BrokenPipeError:
        raise  # whoever reads has seen enough, as on stdout
    except OSError as error:
        raise DiskError(f"{path} could not be written: {_said(error)}") from error


def _settle(folder: Path) -> None:
    """Flush the folder too, so that the new name survives a lost plug. Not all systems can."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _meant(path: Path) -> str:
    """Ask whether a file of nearly the same name was meant, where the folder can be looked into."""
    from difflib import get_close_matches  # noqa: PLC0415  (4 ms; most files are there)

    with suppress(OSError, ValueError):
        names = [one.name for one in islice(path.parent.iterdir(), _MOST_NAMES) if one.is_file()]
        near = get_close_matches(path.name, names, 1, 0.8)
        if near:
            return f"; did you mean {path.parent / near[0]}?"
    return ""


def _why_unread(path: Path, error: OSError) -> str:
    match error:
        case FileNotFoundError() | NotADirectoryError():
            return f"there is no file {path}{_meant(path)}"
        case IsADirectoryError():
            return f"{path} is a folder, not a file"
        case PermissionError():
            return f"you may not read {path}"
        case _:
            return f"{path} could not be read: {_said(error)}"


def _why_unwritten(path: Path, error: OSError) -> str:
    match error:
        case FileNotFoundError() | NotADirectoryError():
            return f"there is no folder {path.parent}"
        case IsADirectoryError():
            return f"{path} is a folder, not a file"
        case PermissionError():
            return f"you may not write {path}"
        case _:
            return f"{path} could not be written: {_said(error)}; what was there before is unchanged"


def _said(error: OSError) -> str:
    return (error.strerror or str(error)).lower()
