"""The log as JSON Lines, out and in: for moving to another machine, and for keeping beside a backup.

The first line says what it is; then the kept rulesets, each with its bases; then every entry, reed by
reed, each reed's in the order in which they happened. Taking in is idempotent: entries and texts that
are there already are left out, and one that says something else under the same id stops it all before
anything is written.
"""

import json
from collections.abc import Iterable, Iterator
from hashlib import sha256
from typing import Final

from kb.ids import RulesetId
from kb.log.codec import from_line, to_line
from kb.log.entry import Entry, Pinned, ReedId, RulesetMark
from kb.log.evidence import is_evidence
from kb.log.fault import LogError
from kb.log.kept import Absorbed, KeptRuleset
from kb.log.store import ReedLog

FORMAT: Final = 2
"""2 since readings are repeated and blanks described; 1 is still read."""
_HEAD: Final = f'{{"canebrake-log":{FORMAT}}}'


def to_lines(log: ReedLog) -> Iterator[str]:
    """Give the whole log, line by line, without line ends."""
    yield _HEAD
    for mark in log.marks():
        yield from _kept_line(log, mark)
    for reed in log.reeds():
        yield from (to_line(entry) for entry in log.entries_of(reed))


def reed_to_lines(log: ReedLog, reed: ReedId) -> Iterator[str]:
    """Give one reed with the rulesets that it was judged by, to hand it over to another log."""
    entries = log.entries_of(reed)
    pins = (entry.what.mark for entry in entries if isinstance(entry.what, Pinned))
    marks = (*(entry.mark for entry in entries if entry.mark is not None), *pins)
    yield _HEAD
    for mark in dict.fromkeys(marks):
        yield from _kept_line(log, mark)
    yield from (to_line(entry) for entry in entries)


def absorb_lines(log: ReedLog, lines: Iterable[str]) -> Absorbed:
    """Take in what `to_lines` gave, line by line. Raises LogError, and then nothing was taken in."""
    return log.absorb(_parts(lines))


def read_entries(lines: Iterable[str]) -> Iterator[Entry]:
    """Read the entries of what `to_lines` gave, and leave the kept rulesets. Raises LogError."""
    return (part for part in _parts(lines) if not isinstance(part, KeptRuleset))


def _parts(lines: Iterable[str]) -> Iterator[Entry | KeptRuleset]:
    headed = False
    for number, line in enumerate(lines, 1):
        if not line.strip():
            continue
        try:
            if not headed:
                _check_head(line)
                headed = True
            elif line.startswith('{"kept":'):
                yield _ruleset(line)
            else:
                yield from_line(line)
        except LogError as error:
            raise LogError(f"Line {number}: {error} Nothing was taken in.") from error
    if not headed:
        raise LogError("There is nothing in it; it is no export of a reed log.")


def _kept_line(log: ReedLog, mark: RulesetMark) -> Iterator[str]:
    text = log.ruleset_text(mark.digest)
    if text is None:
        return
    texts = [[mark.id, text], *(list(base) for base in log.ruleset_bases(mark.digest))]
    yield json.dumps(
        {"kept": [mark.id, mark.version, mark.digest], "texts": texts},
        ensure_ascii=False,
        separators=(",", ":"),
    )


def _check_head(line: str) -> None:
    try:
        head = json.loads(line)
    except (ValueError, RecursionError):
        head = None
    if is_evidence(line):
        raise LogError("It holds bare evidence for tuning, and no reeds that a log could take in.")
    version = head.get("canebrake-log") if isinstance(head, dict) else None
    if not isinstance(version, int) or isinstance(version, bool):
        raise LogError("It is no export of a reed log.")
    if version > FORMAT:
        raise LogError(f"It was exported by a newer canebrake (its format is {version}); use the newer one.")


def _ruleset(line: str) -> KeptRuleset:
    try:
        parts = json.loads(line)
        id_, version, digest = parts["kept"]
        texts = tuple((name, text) for name, text in parts["texts"])
    except (ValueError, KeyError, TypeError, RecursionError):
        raise LogError("A kept ruleset is damaged.") from None
    if not texts or not all(
        isinstance(one, str) for one in (id_, version, digest, *(part for pair in texts for part in pair))
    ):
        raise LogError("A kept ruleset is damaged.")
    if _digest([text for _, text in texts]) != digest:
        raise LogError(f"The text of the ruleset {id_!r} is not the one that its digest names.")
    return KeptRuleset(RulesetMark(RulesetId(id_), version, digest), texts)


def _digest(texts: list[str]) -> str:
    """Give what `kb.load.digest` gives; said again here because the log loads no reader of rulesets."""
    each = [sha256(text.encode("utf-8", "surrogatepass")).hexdigest() for text in texts]
    return each[0] if len(each) == 1 else sha256("\n".join(each).encode()).hexdigest()
