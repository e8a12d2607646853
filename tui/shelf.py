"""RULESET on a command line: a file, or the id of an installed ruleset.

Both fronts and all commands come through here, so that the same word means the same ruleset
everywhere, and is refused with the same sentence.
"""

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from kb.bases import Resolver
from kb.cache import Ready, read_once
from kb.disk import DiskError, read_bounded
from kb.model import Ruleset
from kb.shelf import Installed, beside, installed, shipped

if TYPE_CHECKING:
    from kb.load import Loaded  # the reader, which a ruleset in the cache does without
    from kb.problem import Problem
    from kb.text import SourceText, Span


class ShelfError(Exception):
    """No ruleset can be had under this name. Its text is one sentence for the user."""


@dataclass(frozen=True, slots=True)
class Opened:
    """A ruleset as far as it could be read."""

    said: str
    """As the user named it."""
    loaded: "Loaded"
    base: Resolver
    """Finds what it extends."""
    content: bytes
    """Its file's bytes, as they were read."""
    path: Path | None = None
    """Its file; None for one that is installed."""
    name: str = ""
    """What problems call it: its path, or the name of an installed one's file."""

    @property
    def ruleset(self) -> Ruleset | None:
        """The ruleset; None when it has errors."""
        return self.loaded.ruleset

    @property
    def problems(self) -> "tuple[Problem, ...]":
        """Everything found wrong with it, by place."""
        return self.loaded.problems

    @property
    def texts(self) -> "tuple[SourceText, ...]":
        """Its own text, then those of its bases."""
        return self.loaded.texts

    def excerpt(self, span: "Span") -> str:
        """Give the line on which `span` begins, or nothing."""
        text = self.loaded.text_of(span.file)
        return text.excerpt(span) if text else ""


def open_ruleset(said: str) -> Opened:
    """Read the ruleset that the user named. Raises `ShelfError` when there are no bytes to read."""
    from kb.load import load_bytes  # noqa: PLC0415 - the reader, which a ruleset in the cache does without

    if not _is_file(said):
        found = installed_named(said)
        loaded = load_bytes(found.name, found.content, found.base)
        return Opened(said, loaded, found.base, found.content, None, found.name)
    path = Path(said)
    try:
        base, content = beside(path.parent), read_bounded(path)
        return Opened(said, load_bytes(said, content, base), base, content, path, said)
    except DiskError as fault:
        raise ShelfError(str(fault)) from fault


def read_again(opened: Opened) -> bytes:
    """Give the bytes of a ruleset's file as they are now. Raises `kb.disk.DiskError`."""
    return read_bounded(opened.path) if opened.path is not None else b""


def installed_ids() -> tuple[str, ...]:
    """Give the names by which installed rulesets are called, each once: an id, or `id@studio`."""
    return tuple(dict.fromkeys(called(one) for one in _known() if one.id))


def names_of(id_: str) -> tuple[str, ...]:
    """Give the names by which the installed rulesets of this id are called: several, where it is shared."""
    return tuple(dict.fromkeys(called(one) for one in _known() if one.id == id_))


def called(one: Installed) -> str:
    """Give the name of an installed ruleset: its id where that can mean no other, else `id@studio`.

    An id that ships always means the one that ships: nothing that is taken from a studio stands
    in its place.
    """
    others = {other.studio for other in _known() if other.id == one.id} - {one.studio}
    return f"{one.id}@{one.studio}" if one.studio and others else one.id


def _known() -> tuple[Installed, ...]:
    """Give all that is installed; only what ships where the studios' list cannot be read."""
    try:
        return installed()
    except DiskError:
        return shipped()


def usable_ruleset(said: str) -> Ruleset:
    """Give a ruleset that has no errors. Raises `ShelfError` with a sentence when there is none."""
    return _usable(said)[0]


def ready_ruleset(said: str) -> Ready:
    """Give a ruleset that has no errors and its texts, for use alone: an installed one may know no places.

    Raises `ShelfError` with a sentence when there is none.
    """
    known = None if _is_file(said) else read_once(installed_named(said))
    if known is not None:
        return known
    ruleset, opened = _usable(said)
    return Ready(ruleset, tuple((text.name, text.text) for text in opened.texts))


def _usable(said: str) -> tuple[Ruleset, Opened]:
    from kb.problem import Severity  # noqa: PLC0415 - loaded with the reader

    opened = open_ruleset(said)
    if opened.ruleset is None:
        errors = [problem for problem in opened.problems if problem.severity is Severity.ERROR]
        first = errors[0]
        count = "an error" if len(errors) == 1 else f"{len(errors)} errors"
        raise ShelfError(
            f"{said} has {count}; first: {first.span}: {first.message}. `canebrake check {said}` shows all"
        )
    return opened.ruleset, opened


def _is_file(said: str) -> bool:
    """Whether a file is meant, be it there or not."""
    return "/" in said or "\\" in said or said.endswith((".yaml", ".yml")) or Path(said).is_file()


def installed_named(said: str) -> Installed:
    """Find an installed ruleset by `id` or `id@studio`. Raises `ShelfError` when not one is meant."""
    try:
        known, trouble = installed(), ""
    except DiskError as fault:
        known, trouble = shipped(), f"; of your studios: {fault}"
    name, _, studio = said.partition("@")
    found = [one for one in known if one.id == name and studio in ("", one.studio)]
    if not studio and any(not one.studio for one in found):
        found = [one for one in found if not one.studio]
    if len({one.studio for one in found}) > 1:
        names = " and ".join(f"{one.id}@{one.studio}" for one in found)
        raise ShelfError(f"several studios have a ruleset {said!r}; say which is meant: {names}")
    if found:
        return found[-1]
    if Path(said).is_dir():
        raise ShelfError(f"{said} is a folder, not a file")
    from difflib import get_close_matches  # noqa: PLC0415 - only a mistake needs it

    near = get_close_matches(said, installed_ids(), 1)
    if near:
        raise ShelfError(
            f"there is no file and no installed ruleset {said!r}; did you mean {near[0]!r}?{trouble}"
        )
    names = ", ".join(installed_ids()) or "none"
    raise ShelfError(f"there is no file and no installed ruleset {said!r}; installed: {names}{trouble}")
