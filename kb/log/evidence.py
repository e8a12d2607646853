"""What a log teaches, and nothing else: for sharing with people who tune rulesets.

Left out are names, remarks, reasons, photos, blanks, the weather, every date, and whatever was taken back;
reeds are numbered. What stays is what was found, measured, done and rested, sitting by sitting, and which
text of which ruleset it was said under. Nothing that goes in by such a file ever becomes a maker's reed:
a log refuses it.
"""

import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Final

from kb.log.codec import from_line, to_line
from kb.log.entry import (
    Answered,
    Entry,
    EntryId,
    Graded,
    Measured,
    Overviewed,
    Pinned,
    Played,
    ReedId,
    RemedyDone,
    Rested,
    SittingOpened,
    Strokes,
    ThicknessMeasured,
    What,
)
from kb.log.fault import LogError
from kb.log.replay import standing
from kb.log.store import ReedLog

FORMAT: Final = 1
_HEAD: Final = f'{{"canebrake-evidence":{FORMAT}}}'
GRADES: Final = ("concert", "rehearsal", "practice", "spare", "set aside")
"""Grades in our words; one in a maker's own words could name somebody, and is left out."""


@dataclass(frozen=True, slots=True)
class BareReed:
    """One reed's evidence: its entries without ids of their own, times, or anything personal."""

    number: int
    entries: tuple[Entry, ...]


def bare_lines(log: ReedLog) -> Iterator[str]:
    """Give the evidence of every reed, line by line, without line ends."""
    yield _HEAD
    number = 0
    for reed in log.reeds():
        told = bare(log.entries_of(reed))
        if told:
            number += 1
            for place, entry in enumerate(told, 1):
                named = replace(entry, id=EntryId(f"{number}.{place}"), reed=ReedId(str(number)))
                yield to_line(named)


def bare(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """Give what one reed teaches: its standing entries, without what is personal."""
    kept = ((entry, _bare(entry.what)) for entry in standing(entries))
    return tuple(replace(entry, at="", what=what) for entry, what in kept if what is not None)


def read_evidence(lines: Iterable[str]) -> Iterator[BareReed]:
    """Read back what `bare_lines` gave, one reed at a time. Raises LogError for anything else."""
    headed, number = False, 0
    together: list[Entry] = []
    for at, line in enumerate(lines, 1):
        if not line.strip():
            continue
        if not headed:
            _check_head(line)
            headed = True
            continue
        try:
            entry = from_line(line)
        except LogError as error:
            raise LogError(f"Line {at}: {error}") from error
        if together and entry.reed != together[-1].reed:
            number += 1
            yield BareReed(number, tuple(together))
            together = []
        together.append(entry)
    if not headed:
        raise LogError("There is nothing in it; it is no evidence.")
    if together:
        yield BareReed(number + 1, tuple(together))


def is_evidence(head: str) -> bool:
    """Whether a file that begins with this line holds evidence, and no log."""
    return head.lstrip("\ufeff").startswith('{"canebrake-evidence":')


def _check_head(line: str) -> None:
    try:
        head = json.loads(line)
    except (ValueError, RecursionError):
        head = None
    version = head.get("canebrake-evidence") if isinstance(head, dict) else None
    if not isinstance(version, int) or isinstance(version, bool):
        raise LogError("It is no evidence; make it with: canebrake reeds export --bare FILE")
    if version > FORMAT:
        raise LogError(f"It was exported by a newer canebrake (its format is {version}); use the newer one.")


def _bare(what: What) -> What | None:
    match what:
        case SittingOpened(number):
            return SittingOpened(number)
        case Graded(grade) if grade in GRADES:
            return Graded(grade)
        case Strokes(number):
            return Strokes(number)
        case Answered() | Overviewed() | Measured() | ThicknessMeasured() | RemedyDone() | Rested():
            return what
        case Played() | Pinned():
            return what
        case _:
            return None
