"""From bytes to a ruleset, or to what is wrong with it: the whole story in one function.

Every face goes through here: the commands, the screens, the tests, and edits that the tool itself
proposes. There is no other reader and no other judge.
"""

import gc
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from kb.bases import Offered, Resolver, Wanted, nowhere
from kb.build import build
from kb.checks.runner import run
from kb.disk import read_bounded
from kb.extends import with_bases
from kb.letters import decode
from kb.model import Ruleset
from kb.problem import Problem, Severity, has_errors, in_order
from kb.shape import check_shape
from kb.shelf import Installed, among, beside, by_id, installed, shipped
from kb.source import read
from kb.text import SourceText
from kb.value import Pairs

__all__ = [
    "Installed",
    "Loaded",
    "Offered",
    "Resolver",
    "Wanted",
    "among",
    "beside",
    "by_id",
    "installed",
    "load",
    "load_bytes",
    "load_file",
    "nowhere",
    "shipped",
]


@dataclass(frozen=True, slots=True)
class Loaded:
    """What a text came to."""

    ruleset: Ruleset | None
    """None when there is an error among the problems."""
    problems: tuple[Problem, ...]
    """By place."""
    texts: tuple[SourceText, ...] = ()
    """The text and those of its bases, for showing the lines that problems speak of."""

    def text_of(self, name: str) -> SourceText | None:
        """Give the text that problems call `name`, if there is one."""
        return next((text for text in self.texts if text.name == name), None)


def load(source: SourceText, *, base: Resolver = nowhere) -> Loaded:
    """Read, merge, shape, build and check one ruleset. Never raises for what a text says."""
    with _no_collecting():
        return _load(source, base, ())


def _load(source: SourceText, base: Resolver, refused: tuple[Problem, ...]) -> Loaded:
    """Load a text of which some letters were `refused` already."""
    document = read(source)
    told = (*refused, *document.problems)
    if document.tree is None or (told and not isinstance(document.tree.data, Pairs)):
        # Of what is no text, or broke off, it goes without saying that it has no keys.
        return _loaded(None, told, (source,))
    whole = with_bases(document.tree, source, base)
    problems = (*told, *whole.problems)
    if whole.tree is None:
        return _loaded(None, problems, whole.texts)
    shaped = check_shape(whole.tree, frozenset(problem.span for problem in problems))
    problems = (*problems, *shaped.problems)
    if shaped.tree is None:
        return _loaded(None, problems, whole.texts)
    built = build(shaped.tree, digest(whole.texts))
    places = {problem.span for problem in told}
    problems = (*problems, *(problem for problem in built.problems if problem.span not in places))
    checked = run(built.ruleset, built.suspects, lost_links=shaped.lost_links)
    wrong = {problem.span for problem in problems}
    # Of a value that cannot be, it goes without saying that it is doubtful as well.
    problems = (*problems, *(p for p in checked if p.severity is Severity.ERROR or p.span not in wrong))
    return _loaded(built.ruleset, problems, whole.texts)


def load_bytes(name: str, content: bytes, base: Resolver = nowhere) -> Loaded:
    """Load a ruleset from a file's bytes; problems call the file `name`."""
    source, problems = decode(name, content)
    if source is None:
        return _loaded(None, problems, ())
    with _no_collecting():
        return _load(source, base, problems)


def load_file(path: Path) -> Loaded:
    """Load a ruleset from disk, with its bases beside it. Raises `kb.disk.DiskError`."""
    return load_bytes(str(path), read_bounded(path), beside(path.parent))


def digest(texts: Iterable[SourceText]) -> str:
    """Give the sha256 of a ruleset's text; with bases, that of the texts' own, one after the other.

    >>> digest([SourceText.of("a", "")])[:8]
    'e3b0c442'
    """
    each = [sha256(text.text.encode()).hexdigest() for text in texts]
    return each[0] if len(each) == 1 else sha256("\n".join(each).encode()).hexdigest()


@contextmanager
def _no_collecting() -> Iterator[None]:
    """Leave garbage alone while thousands of values are made that all stay: a quarter of the time."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def _loaded(ruleset: Ruleset | None, problems: Iterable[Problem], texts: tuple[SourceText, ...]) -> Loaded:
    ordered = in_order(problems)
    return Loaded(None if has_errors(ordered) else ruleset, ordered, texts)
