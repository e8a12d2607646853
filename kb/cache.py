"""Installed rulesets are read once: what came of a text is kept, and found again by that text.

    ready = read_once(installed)        # from the cache, or read and then kept

A file's name says what it was made from: the ruleset's bytes and the very modules that read them. So
neither a changed text nor another version of canebrake finds an old one. The bases that it stands on are
looked up as ever, and their bytes compared. Inside is the digest of the rest, then JSON, from which
nothing is run. Whatever is amiss (cut off, damaged, another user's), it counts as not there.
"""

import json
import os
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Final

from kb.bases import Offered, Resolver, Wanted
from kb.disk import DiskError, keep_few, read_own, write_whole
from kb.home import cache_home
from kb.model import Ruleset
from kb.model_json import from_json, to_json
from kb.shelf import Installed

MOST: Final = 32
"""Rulesets that are kept; the oldest go."""
LARGEST: Final = 16 * 1024 * 1024
"""Bytes of a file that is worth keeping, or reading."""
_PARTS: Final = ("", "checks", "schema")
"""Folders of this package whose modules have a part in reading a ruleset."""


@dataclass(frozen=True, slots=True)
class Ready:
    """A ruleset without errors, for use. It may have come without places: nothing can be pointed at."""

    ruleset: Ruleset
    texts: tuple[tuple[str, str], ...]
    """Names and texts: its own, then those of its bases, nearest first."""


def read_once(one: Installed) -> Ready | None:
    """Give an installed ruleset, from the cache where it is there; None when it has errors."""
    folder = cache_home()
    path = None if folder is None else folder / f"{_made_from(one.content)}.json"
    known = None if path is None else _recalled(path, one)
    if known is not None:
        return known
    from kb.load import load_bytes  # noqa: PLC0415 - the reader, which a known text does without

    bases: list[tuple[Wanted, bytes]] = []
    loaded = load_bytes(one.name, one.content, _noting(one.base, bases))
    if loaded.ruleset is None:
        return None
    if path is not None:
        with suppress(DiskError, OSError):  # a cache that cannot be written costs time and nothing else
            _keep(path, loaded.ruleset, bases)
    return Ready(loaded.ruleset, tuple((text.name, text.text) for text in loaded.texts))


def _keep(path: Path, ruleset: Ruleset, bases: Sequence[tuple[Wanted, bytes]]) -> None:
    stands_on = [[base.file, base.id, base.version, _digest(content)] for base, content in bases]
    body = f"{json.dumps(stands_on)}\n{to_json(ruleset)}".encode()
    if len(body) < LARGEST:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        write_whole(path, f"{_digest(body)}\n".encode() + body)
        keep_few(path.parent, "*.json", MOST)


def _recalled(path: Path, one: Installed) -> Ready | None:
    digest, _, body = read_own(path, LARGEST).partition(b"\n")
    if not body or digest.decode("ascii", "replace") != _digest(body):
        return None
    try:
        stands_on, _, ruleset = body.decode().partition("\n")
        below = [(Wanted(file, id_, version), digest) for file, id_, version, digest in json.loads(stands_on)]
        texts = _texts(one, below)
        return None if texts is None else Ready(from_json(ruleset), texts)
    except (ValueError, TypeError, DiskError):
        return None


def _texts(one: Installed, below: Sequence[tuple[Wanted, str]]) -> tuple[tuple[str, str], ...] | None:
    """Give the texts that the ruleset stands on now; None when one of them is not what it was."""
    offers = [Offered(one.name, one.content, one.base)]
    for wanted, digest in below:
        offered = offers[-1].base(wanted)
        if offered is None or _digest(offered.content) != digest:
            return None
        offers.append(offered)
    return tuple((offered.name, offered.content.decode("utf-8-sig")) for offered in offers)


def _noting(base: Resolver, noted: list[tuple[Wanted, bytes]]) -> Resolver:
    """Find bases as `base` does, and note what was wanted and what came of it."""

    def find(wanted: Wanted) -> Offered | None:
        offered = base(wanted)
        if offered is None:
            return None
        noted.append((wanted, offered.content))
        return Offered(offered.name, offered.content, _noting(offered.base, noted))

    return find


def _made_from(content: bytes) -> str:
    return sha256(_reader() + content).hexdigest()


@cache
def _reader() -> bytes:
    """Say which modules read rulesets here: those of another version have other stamps, or lie elsewhere."""
    package = Path(__file__).parent
    seen = [str(package)]
    for part in _PARTS:
        with os.scandir(package / part) as entries:
            for entry in sorted(entries, key=lambda entry: entry.name):
                if entry.is_file():
                    found = entry.stat()
                    seen.append(f"{entry.name} {found.st_mtime_ns} {found.st_size}")
    return "\n".join(seen).encode()


def _digest(content: bytes) -> str:
    return sha256(content).hexdigest()
