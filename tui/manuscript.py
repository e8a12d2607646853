"""A ruleset's text in its author's hands: read, changed, judged, and written back if nobody else did.

    page = open_manuscript("bassoon")          # a file, or the id of an installed ruleset
    page = page.with_text(text)
    page.judged()                              # problems, and a ruleset if there is none too many
    page = page.saved()

A frozen value. What ships with canebrake has no file of its own to write into: it is only read.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final, Self

from kb.disk import DiskError, read_bounded, write_whole
from kb.edit import at, scalar
from kb.edit.writing import in_flow
from kb.extends import merge
from kb.letters import decode
from kb.load import Loaded, Resolver, beside, load_bytes, nowhere
from kb.model import Ruleset
from kb.source import read
from kb.text import SourceText
from kb.value import Pairs, Value
from tui.shelf import ShelfError, installed_ids, open_ruleset

_UNFIT: Final = re.compile("[^a-z0-9]+")
_BOM: Final = b"\xef\xbb\xbf"
SECTIONS: Final = (
    "priorities",
    "symptoms",
    "signs",
    "causes",
    "remedies",
    "rests",
    "quantities",
    "thickness",
    "tools",
    "zones",
    "charts",
    "trials",
    "sources",
    "words",
    "glossary",
)
"""Parts of a ruleset that hold entries, in the order in which they are listed."""


@dataclass(frozen=True, slots=True)
class Passage:
    """One entry of the text: what it is, and where it begins."""

    section: str
    id: str
    title: str
    line: int
    column: int
    path: tuple[str | int, ...] = ()
    """Keys and numbers down to it, as edits name it."""
    base: str = ""
    """The text that it stands in, where that is not the author's own but one that it extends."""


@dataclass(frozen=True, slots=True)
class Manuscript:
    """The text as it stands on the screen, and what was on disk when it was read or written last."""

    name: str
    text: str
    path: Path | None
    """None: it ships with canebrake and is not written into."""
    seen: bytes
    base: Resolver = nowhere
    """Of one that is installed, finds what it extends."""

    @property
    def content(self) -> bytes:
        """The bytes to write."""
        return (_BOM if self.seen.startswith(_BOM) else b"") + self.text.encode("utf-8", "surrogatepass")

    @property
    def is_unsaved(self) -> bool:
        """Whether it says something else than the file did."""
        return self.path is not None and self.content != self.seen

    def with_text(self, text: str) -> Self:
        """Give it with another text."""
        return replace(self, text=text)

    def judged(self) -> Loaded:
        """Read, build and check it as every other face does."""
        return load_bytes(
            self.name, self.content, self.base if self.path is None else beside(self.path.parent)
        )

    def passages(self) -> tuple[Passage, ...]:
        """Give its entries, as far as the text can be read at all."""
        return tuple(_passages(SourceText.of(self.name, self.text)))

    def inherited(self, loaded: Loaded) -> tuple[Passage, ...]:
        """Give the entries of what this text extends, as `loaded`, that it does not say anything of yet."""
        known = {(one.section, one.id) for one in self.passages()}
        found = []
        for text in loaded.texts[1:]:
            for passage in _passages(text):
                if isinstance(passage.path[-1], str) and (passage.section, passage.id) not in known:
                    known.add((passage.section, passage.id))
                    found.append(replace(passage, base=text.name))
        return tuple(found)

    def saved(self) -> Self:
        """Write it. Raises `DiskError` when it cannot be, or when the file is no longer what was read."""
        if self.path is None:
            raise DiskError(f"{self.name} ships with canebrake and is not written into")
        if self.path.exists() and read_bounded(self.path) != self.seen:
            raise DiskError(f"{self.name} was changed by someone else since it was read; nothing is written")
        return self.forced()

    def forced(self) -> Self:
        """Write it over whatever is there. Raises `DiskError`."""
        if self.path is None:
            raise DiskError(f"{self.name} ships with canebrake and is not written into")
        content = self.content
        write_whole(self.path, content)
        return replace(self, seen=content)


def open_manuscript(said: str) -> Manuscript:
    """Read a file, or the text of an installed ruleset. Raises `ShelfError` with a sentence."""
    path = Path(said).expanduser()
    base: Resolver = nowhere
    own: Path | None = path
    try:
        if path.is_file() or said not in installed_ids():
            name, content = said, read_bounded(path)
        else:
            opened = open_ruleset(said)
            name, content, base, own = opened.name, opened.content, opened.base, None
    except DiskError as fault:
        raise ShelfError(str(fault)) from fault
    source, problems = decode(name, content)
    if source is None:
        raise ShelfError(f"{problems[0].message}: {said}")
    return Manuscript(name, source.text, own, content, base)


def begin_layer(base: Ruleset, said: str) -> Manuscript:
    """Begin a ruleset of one's own that stands on an installed one, in a new file of this name.

    Raises `DiskError` when it cannot be written, or when something is there already.
    """
    path = Path(said).expanduser()
    if path.exists():
        raise DiskError(f"{path} is there already")
    id_ = _UNFIT.sub("-", path.stem.casefold()).strip("-") or "mine"
    heads = (
        ("canebrake", 1),
        ("id", id_ if id_[0].isalpha() else f"own-{id_}"),
        ("title", f"{base.title}, {path.stem}"),
        ("version", "0.1.0"),
        ("language", base.language),
    )
    lines = [f"{key}: {in_flow(scalar(value))}" for key, value in heads]
    extends = f"extends: {{id: {base.id}, version: {in_flow(scalar(base.version))}}}"
    note = "# What is written here is laid over the ruleset named under extends; null takes a key away."
    text = "\n".join([*lines, note, extends, ""])
    return Manuscript(str(path), text, path, b"").forced()


def said_below(loaded: Loaded, path: tuple[str | int, ...]) -> Value | None:
    """Give what the rulesets that a text extends say of an entry, the nearest over the others."""
    said: Value | None = None
    for text in reversed(loaded.texts[1:]):
        tree = read(text).tree
        entry = None if tree is None else at(tree, path)
        said = said if entry is None else merge(said, entry)
    return said


def _passages(source: SourceText) -> Iterator[Passage]:
    tree = read(source).tree
    if tree is None:
        return
    for section in SECTIONS:
        found = tree.get(section)
        if found is None:
            continue
        for pair in found.pairs():
            title = pair.value.get("title") or pair.value.get("ask")
            said = title.data if title is not None and isinstance(title.data, str) else ""
            yield Passage(
                section, pair.key, said, pair.key_span.line, pair.key_span.column, (section, pair.key)
            )
        for number, item in enumerate(() if isinstance(found.data, Pairs) else found.items()):
            id_, title = item.get("id"), item.get("title")
            texts = [one.data for one in (id_, title) if one is not None and isinstance(one.data, str)]
            if texts:
                yield Passage(
                    section, texts[0], texts[-1], item.span.line, item.span.column, (section, number)
                )
