"""The logs that `canebrake tune` learns from: the maker's own, other logs, and exports of either kind."""

from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import TextIO

from engine.tuning.evidence import LoggedReed
from kb.log.entry import ReedId
from kb.log.evidence import is_evidence, read_evidence
from kb.log.exchange import read_entries
from kb.log.fault import LogError
from kb.log.replay import by_reed, standing
from kb.log.store import ReedLog
from tui.cli.reeds.files import bounded_lines
from tui.wiring import Surroundings


def logged_reeds(around: Surroundings, logs: Sequence[Path], exports: Sequence[Path]) -> Iterator[LoggedReed]:
    """Give every reed of every file. Raises LogError, with a sentence that names the file."""
    for maker, path in enumerate(_once_each(logs)):
        yield from _of_log(maker, path)
    for maker, path in enumerate(_once_each(exports), len(logs)):
        yield from _of_export(around, maker, path)


def _once_each(paths: Iterable[Path]) -> tuple[Path, ...]:
    return tuple({path.resolve(): path for path in paths}.values())


def _of_log(maker: int, path: Path) -> Iterator[LoggedReed]:
    with ReedLog.open(path, create=False) as log:
        for reed in log.reeds():
            yield LoggedReed(maker, reed, standing(log.entries_of(reed)))


def _of_export(around: Surroundings, maker: int, path: Path) -> Iterator[LoggedReed]:
    try:
        with path.open(encoding="utf-8-sig", newline="\n") as lines:
            yield from _read(around, maker, lines)
    except UnicodeDecodeError:
        raise LogError(f"{path} is not UTF-8 text; it is no export of a reed log.") from None
    except OSError as error:
        raise LogError(f"{path} could not be read: {(error.strerror or str(error)).lower()}.") from error
    except LogError as error:
        raise LogError(f"{path}: {error}") from error


def _read(around: Surroundings, maker: int, lines: TextIO) -> Iterator[LoggedReed]:
    head = lines.readline(1024)
    lines.seek(0)
    if is_evidence(head):
        for bare in read_evidence(bounded_lines(around, lines)):
            yield LoggedReed(maker, None, bare.entries)
        return
    for entries in by_reed(read_entries(bounded_lines(around, lines))):
        yield LoggedReed(maker, ReedId(entries[0].reed), standing(entries))
