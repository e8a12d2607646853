"""The log as JSON Lines, out and in: for moving to another machine, and for keeping beside a backup.

The first line says what it is; then the kept rulesets, each with its bases; then every entry, in the
order in which the log has them. Taking in is idempotent: entries and texts that are there already are
left out, and one that says something else under the same id stops it all before anything is written.
"""

import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from hashlib import sha256
from typing import Final

from kb.ids import RulesetId
from kb.log.codec import from_line, to_line
from kb.log.entry import Entry, RulesetMark
from kb.log.fault import LogError
from kb.log.store import ReedLog

FORMAT: Final = 1
_HEAD: Final = f'{{"canebrake-log":{FORMAT}}}'


@dataclass(frozen=True, slots=True)
class Absorbed:
    """What came of taking lines in."""

    new: int
    known: int
    """Entries that were there already."""


@dataclass(frozen=True, slots=True)
class _KeptRuleset:
    mark: RulesetMark
    texts: tuple[tuple[str, str], ...]
    """Names and texts, its own first."""


def to_lines(log: ReedLog) -> Iterator[str]:
    """Give the whole log, line by line, without line ends."""
    yield _HEAD
    kept = set(log.kept_digests())
    for mark in log.marks():
        text = log.ruleset_text(mark.digest) if mark.digest in kept else None
        if text is not None:
            texts = [[mark.id, text], *(list(base) for base in log.ruleset_bases(mark.digest))]
            yield json.dumps(
                {"kept": [mark.id, mark.version, mark.digest], "texts": texts},
                ensure_ascii=False,
                separators=(",", ":"),
            )
    for entry in log.entries():
        yield to_line(entry)


def absorb_lines(log: ReedLog, lines: Iterable[str]) -> Absorbed:
    """Take in what `to_lines` gave. Raises LogError, and then nothing was taken in."""
    head, rulesets, entries = False, [], []
    for number, line in enumerate(lines, 1):
        try:
            if not line.strip():
                continue
            if not head:
                _check_head(line)
                head = True
            elif line.startswith('{"kept":'):
                rulesets.append(_ruleset(line))
            else:
                entries.append(from_line(line))
        except LogError as error:
            raise LogError(f"Line {number}: {error} Nothing was taken in.") from error
    if not head:
        raise LogError("There is nothing in it; it is no export of a reed log.")
    return _absorb(log, rulesets, entries)


def _absorb(log: ReedLog, rulesets: list[_KeptRuleset], entries: list[Entry]) -> Absorbed:
    new = log.absorb(entries)
    # Texts come after the entries: alone they change nothing, and a second attempt brings them in.
    for one in rulesets:
        log.keep_ruleset(one.mark, one.texts[0][1], *one.texts[1:])
    return Absorbed(new, len(entries) - new)


def _check_head(line: str) -> None:
    try:
        head = json.loads(line)
    except (ValueError, RecursionError):
        head = None
    version = head.get("canebrake-log") if isinstance(head, dict) else None
    if not isinstance(version, int) or isinstance(version, bool):
        raise LogError("It is no export of a reed log.")
    if version > FORMAT:
        raise LogError(f"It was exported by a newer canebrake (its format is {version}); use the newer one.")


def _ruleset(line: str) -> _KeptRuleset:
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
    return _KeptRuleset(RulesetMark(RulesetId(id_), version, digest), texts)


def _digest(texts: list[str]) -> str:
    """Give what `kb.load.digest` gives; said again here because the log loads no reader of rulesets."""
    each = [sha256(text.encode("utf-8", "surrogatepass")).hexdigest() for text in texts]
    return each[0] if len(each) == 1 else sha256("\n".join(each).encode()).hexdigest()
