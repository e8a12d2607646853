"""Mends: the changes to an author's text that problems propose, gathered, tried and made.

Above `kb.load`, since nothing is kept that was not judged again: what would bring a new kind of
fault is left out, and a comment is never taken away.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from kb.disk import DiskError, read_bounded, write_whole
from kb.edit import Draft, KeyPath, at, without
from kb.load import Loaded, Resolver, load_bytes
from kb.patch import Replacement, between, patched
from kb.problem import CheckName, Problem, Severity
from kb.text import Span
from kb.value import Items, Pairs, Value

_UNUSED: Final = frozenset(CheckName(name) for name in ("unused-entry", "unused-source", "word-never-used"))
REMOVABLE: Final = _UNUSED | {CheckName("allow-without-effect"), CheckName("duplicate-id")}
"""Checks whose fault is mended by taking out what they point at."""

_ROUNDS: Final = 8
"""Times that a file is mended anew: a mend can bring to light what it was that hid another."""
_SINGLY: Final = 60
"""Mends that are tried one by one when all together would do harm."""
_BOM: Final = b"\xef\xbb\xbf"


@dataclass(frozen=True, slots=True)
class Mended:
    """A file before and after its mends; the same bytes when there was nothing to mend."""

    name: str
    before: bytes
    after: bytes
    made: tuple[Problem, ...]
    """The problems whose mends were made."""
    left: Loaded
    """What the file comes to afterwards."""

    @property
    def texts(self) -> tuple[str, str]:
        """Its text before and after, without a byte order mark."""
        return self.before.decode("utf-8-sig"), self.after.decode("utf-8-sig")


def with_mends(loaded: Loaded) -> tuple[Problem, ...]:
    """Give the problems, those that are mended by taking something out with that change as well."""
    if not any(problem.check in REMOVABLE for problem in loaded.problems):
        return loaded.problems
    drafts = {
        text.name: draft
        for text in loaded.texts
        if isinstance(draft := Draft.of(text.name, text.text.encode()), Draft)
    }
    paths = {name: _paths(draft.tree) for name, draft in drafts.items()}
    return tuple(
        replace(problem, mend=_removal(problem, drafts[file], paths[file]))
        if problem.check in REMOVABLE and not problem.mend and (file := problem.span.file) in drafts
        else problem
        for problem in loaded.problems
    )


def mend(name: str, content: bytes, base: Resolver) -> Mended:
    """Make every mend of one file that can be made without harm. Its bases are left alone."""
    loaded = load_bytes(name, content, base)
    made: tuple[Problem, ...] = ()
    now = content
    for _ in range(_ROUNDS):
        # Where something is wrong, what nothing uses may well be what was meant there.
        spared = _UNUSED if loaded.ruleset is None else frozenset[CheckName]()
        proposed = _apart(
            p for p in with_mends(loaded) if p.mend and _is_in(p, name) and p.check not in spared
        )
        kept = _harmless(name, now, base, loaded, proposed)
        if not kept:
            break
        now = _applied(now, kept)
        made = (*made, *kept)
        loaded = load_bytes(name, now, base)
    return Mended(name, content, now, made, loaded)


def save(mended: Mended, path: Path) -> None:
    """Write the mended file in one piece. Raises `DiskError` when it is no longer what was read."""
    if read_bounded(path) != mended.before:
        raise DiskError(f"{path} was changed by another program since it was read; nothing was written")
    write_whole(path, mended.after)


def _harmless(
    name: str, content: bytes, base: Resolver, before: Loaded, proposed: Sequence[Problem]
) -> tuple[Problem, ...]:
    """Give the mends that together leave no new kind of fault; all of them, or found one by one."""
    if not proposed or _is_better(before, load_bytes(name, _applied(content, proposed), base)):
        return tuple(proposed)
    kept: tuple[Problem, ...] = ()
    for one in proposed[:_SINGLY]:
        after = load_bytes(name, _applied(content, (*kept, one)), base)
        if _is_better(before, after):
            kept, before = (*kept, one), after
    return kept


def _is_better(before: Loaded, after: Loaded) -> bool:
    """Whether there are fewer faults and no new kind of them.

    Warnings may come to light once an error that hid them is mended; without errors, none may.
    """
    were, are = _errors(before), _errors(after)
    if not {p.check for p in are} <= {p.check for p in were}:
        return False
    if were:
        return len(are) < len(were) or (len(are) == len(were) and len(after.problems) < len(before.problems))
    kinds = {p.check for p in before.problems}
    return {p.check for p in after.problems} <= kinds and len(after.problems) < len(before.problems)


def _errors(loaded: Loaded) -> list[Problem]:
    return [problem for problem in loaded.problems if problem.severity is Severity.ERROR]


def _applied(content: bytes, problems: Iterable[Problem]) -> bytes:
    before = content.decode("utf-8-sig")
    newline = "\r\n" if "\r\n" in before else "\n"
    changes = [
        change._replace(text=newline.join(change.text.splitlines(keepends=False)) + newline)
        if change.text.endswith("\n")
        else change
        for one in problems
        for change in one.mend
    ]
    text = patched(before, changes)
    return (_BOM if content.startswith(_BOM) else b"") + text.encode()


def _is_in(problem: Problem, name: str) -> bool:
    return all(change.span.file == name for change in problem.mend)


def _apart(problems: Iterable[Problem]) -> list[Problem]:
    """Leave out what touches letters, or a line that goes away, which an earlier mend changes already."""
    kept: list[Problem] = []
    taken: list[Span] = []
    for problem in problems:
        spans = [change.span for change in problem.mend]
        if not any(_touch(span, other) for span in spans for other in taken[-_LOOKED_BACK:]):
            kept.append(problem)
            taken += spans
    return kept


_LOOKED_BACK: Final = 200
"""Earlier stretches compared: problems come by place, so what can touch is not far back."""


def _touch(one: Span, other: Span) -> bool:
    return one[1:3] <= other[3:5] and other[1:3] <= one[3:5]


def _paths(tree: Value) -> dict[Span, KeyPath]:
    """Give the path of every key and every list item, by its place."""
    found: dict[Span, KeyPath] = {}
    ahead: list[tuple[KeyPath, Value]] = [((), tree)]
    while ahead:
        path, value = ahead.pop()
        if isinstance(value.data, Pairs):
            for pair in value.data:
                found[pair.key_span] = (*path, pair.key)
                ahead.append(((*path, pair.key), pair.value))
        elif isinstance(value.data, Items):
            for number, item in enumerate(value.data.items):
                found[item.span] = (*path, number)
                ahead.append(((*path, number), item))
    return found


def _removal(problem: Problem, draft: Draft, paths: dict[Span, KeyPath]) -> tuple[Replacement, ...]:
    """Give the change that takes out what a problem points at; with its list, when it is all of it."""
    path = paths.get(problem.span)
    if path is None or (problem.check == "duplicate-id" and isinstance(path[-1], str)):
        return ()
    while len(path) > 1 and _is_alone(draft, path):
        path = path[:-1]
    left = without(draft, path)
    if isinstance(left, Problem) or left.text.count("#") != draft.text.count("#"):
        return ()
    return (between(draft.name, draft.text, left.text),)


def _is_alone(draft: Draft, path: KeyPath) -> bool:
    whole = at(draft.tree, path[:-1])
    return whole is not None and isinstance(whole.data, Pairs) and len(whole.pairs()) == 1
