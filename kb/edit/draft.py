"""A draft: an author's file as it was read, and as it would be written.

Frozen: every edit gives a new draft, so that going back is keeping the old one. Saving is guarded
by the digest of what was read: a file that somebody else changed meanwhile is left alone.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from hashlib import sha256
from pathlib import Path
from typing import Final

from kb.disk import DiskError, read_bounded, write_whole
from kb.edit.made import same
from kb.letters import decode
from kb.patch import Replacement, patched
from kb.problem import CheckName, Problem, in_order
from kb.source import read
from kb.text import Places, SourceText, Span, whole_file
from kb.value import Value

CANNOT_EDIT: Final = CheckName("cannot-edit")
"""The name under which an edit says why it cannot be made. It is no check: no file is at fault."""

_BOM: Final = b"\xef\xbb\xbf"
NEW_FILE: Final = ""
"""The digest of a file that was not there yet."""


@dataclass(frozen=True, slots=True)
class Draft:
    """The text of one ruleset file, with the values that it holds."""

    name: str
    """What problems call the file."""
    text: str
    seen: str
    """The sha256 of the bytes that were read; `NEW_FILE` when there were none."""
    tree: Value = field(compare=False, repr=False)
    bom: bool = False
    """Whether the file begins with a byte order mark, which is kept."""

    @classmethod
    def of(cls, name: str, content: bytes, *, seen: str | None = None) -> "Draft | Problem":
        """Read a file's bytes. A problem when they cannot be read as one document without a fault."""
        source, problems = decode(name, content)
        if source is None or problems:
            return problems[0]
        found = read(source)
        if found.tree is None or found.problems:
            return in_order(found.problems)[0]
        digest = sha256(content).hexdigest() if seen is None else seen
        return cls(name, source.text, digest, found.tree, content.startswith(_BOM))

    @property
    def content(self) -> bytes:
        """The bytes to write."""
        return (_BOM if self.bom else b"") + self.text.encode()

    @property
    def newline(self) -> str:
        """The line end of the file's first line."""
        at = min((i for i in (self.text.find("\n"), self.text.find("\r")) if i >= 0), default=-1)
        if at < 0:
            return "\n"
        return "\r\n" if self.text.startswith("\r\n", at) else self.text[at]

    def refuse(self, why: str, hint: str = "", *, at: Span | None = None) -> Problem:
        """Say why an edit cannot be made."""
        return Problem(whole_file(self.name) if at is None else at, CANNOT_EDIT, why, hint)


def open_draft(path: Path) -> Draft | Problem:
    """Read a file to edit it. Raises `kb.disk.DiskError` when there are no bytes to be had."""
    return Draft.of(str(path), read_bounded(path))


def save(draft: Draft, path: Path) -> Draft:
    """Write a draft in one piece, unless the file is no longer what was read.

    Gives the draft as it now stands on disk, for the next edit. Raises `kb.disk.DiskError` when the
    file was changed, removed or made by somebody else meanwhile, or cannot be written.
    """
    there = sha256(read_bounded(path)).hexdigest() if path.exists() else NEW_FILE
    content = draft.content
    if there != draft.seen:
        why = "was changed by another program since it was read" if there else "is no longer there"
        raise DiskError(f"{path} {'is there already' if not draft.seen else why}; nothing was written")
    write_whole(path, content)
    return replace(draft, seen=sha256(content).hexdigest())


@dataclass(frozen=True, slots=True)
class Cut:
    """A stretch of the text between two offsets, and what shall stand there; lines end with LF."""

    begin: int
    end: int
    text: str = ""


def replacements(draft: Draft, cuts: Iterable[Cut]) -> tuple[Replacement, ...]:
    """Say cuts in lines and columns and in the file's own line ends."""
    places = Places.of(draft.text)
    return tuple(
        Replacement(places.span(draft.name, cut.begin, cut.end), cut.text.replace("\n", draft.newline))
        for cut in cuts
    )


def redrawn(draft: Draft, cuts: Iterable[Cut], meant: Value) -> Draft | Problem:
    """Make the cuts, read the result, and give it only if it means `meant` and nothing else."""
    try:
        text = patched(draft.text, replacements(draft, cuts))
    except ValueError:
        text = ""
    source = SourceText.of(draft.name, text)
    found = read(source)
    if found.tree is None or found.problems or not same(found.tree, meant):
        return draft.refuse(
            "this change cannot be made without touching what stands beside it",
            "make it by hand; the text there is written in an unusual way",
        )
    return replace(draft, text=text, tree=found.tree)
