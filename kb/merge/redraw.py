"""The edits of a merge, made on the text of ours.

An entry that ours left as it was in the base is taken as theirs wrote it, with its comments, unless
theirs has fewer: programs that write YAML anew drop them all, and nobody meant that. In all other
entries only the values change. An edit that cannot be made is handed back: it then counts as a
conflict, for a person to settle.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final

from kb.edit import Draft, KeyPath, added, at, changed, entry_text, with_entry, with_entry_text, without
from kb.edit.slices import number_of
from kb.ids import ENTRY_SECTIONS
from kb.merge.lists import NAMED, Path, gist, is_section, names
from kb.merge.threeway import Edit, Order
from kb.problem import Problem
from kb.text import SourceText
from kb.value import Value

_COMMENT: Final = re.compile(r"(?m)(?:^|(?<=\s))#.*$")


@dataclass(frozen=True, slots=True)
class Sides:
    """The three texts."""

    base: Draft
    ours: Draft
    theirs: Draft


@dataclass(frozen=True, slots=True)
class Unmade:
    """An edit that the text did not allow, and why."""

    edit: Edit
    problem: Problem


@dataclass(frozen=True, slots=True)
class Redrawn:
    """Ours with the edits that could be made."""

    draft: Draft
    made: tuple[Edit, ...]
    unmade: tuple[Unmade, ...]
    notes: tuple[Path, ...]
    """Entries whose comments alone were taken from theirs."""


def redrawn(sides: Sides, steps: Iterable[Edit | Order]) -> Redrawn:
    """Make all edits, one after the other."""
    draft = sides.ours
    made, unmade = [], []
    for step in _removals_last(steps):
        if isinstance(step, Order):
            draft = _ordered(draft, step)
            continue
        result = _made(sides, draft, step)
        if isinstance(result, Problem):
            unmade.append(Unmade(step, result))
        else:
            draft = result
            made.append(step)
    draft, notes = _with_notes(sides, draft)
    return Redrawn(draft, tuple(made), tuple(unmade), notes)


def _removals_last(steps: Iterable[Edit | Order]) -> list[Edit | Order]:
    """Put removals behind changes, so that no mapping is empty on the way; orders come last of all."""

    def rank(step: Edit | Order) -> int:
        return 2 if isinstance(step, Order) else int(step.value is None)

    return sorted(steps, key=rank)


def _made(sides: Sides, draft: Draft, edit: Edit) -> Draft | Problem:
    place = _place(draft, edit.path)
    if edit.value is None:
        return draft if place is None else without(draft, place)
    if is_section(edit.path[:1]) and len(edit.path) == 2:
        return _entry(sides, draft, edit.path, edit.value)
    if place is not None and at(draft.tree, place) is not None:
        return changed(draft, place, edit.value)
    above = _place(draft, edit.path[:-1])
    if above is None:
        return draft.refuse(f"there is no {edit.path[-2]!r} to take {edit.path[-1]!r}")
    neighbours = _keys_of(sides.theirs, edit.path[:-1])
    return added(
        draft,
        above,
        edit.path[-1],
        edit.value,
        before=_behind(neighbours, edit.path[-1], _keys_of(draft, edit.path[:-1])),
    )


def _entry(sides: Sides, draft: Draft, path: Path, value: Value) -> Draft | Problem:
    """Put an entry of theirs into a section: as it was written there, if ours did not touch it."""
    section, name = path
    number = number_of(draft, section, name)
    if number is None or (_is_untouched(sides, path) and not _has_fewer_comments(sides, path)):
        text = entry_text(sides.theirs, section, name)
        before = _behind(_keys_of(sides.theirs, (section,)), name, _keys_of(draft, (section,)))
        if isinstance(text, str):
            taken = with_entry_text(draft, section, name, text, before=before)
            if isinstance(taken, Draft):
                return taken
    if number is None:
        return with_entry(draft, section, name, value)
    return changed(draft, (section, number if section in NAMED else name), value)


def _is_untouched(sides: Sides, path: Path) -> bool:
    """Whether ours wrote an entry just as the base did, comments included."""
    section, name = path
    return _text(sides.ours, section, name) == _text(sides.base, section, name) is not None


def _text(draft: Draft, section: str, name: str) -> str | None:
    """Give an entry's text without what depends on where it stands."""
    if number_of(draft, section, name) is None:
        return None
    text = entry_text(draft, section, name)
    if isinstance(text, Problem):
        return None
    lines = text.replace("\r\n", "\n").replace("\r", "\n").strip("\n").split("\n")
    margin = min((len(line) - len(line.lstrip(" ")) for line in lines if line.strip()), default=0)
    return "\n".join(line[margin:].rstrip() for line in lines)


def _has_fewer_comments(sides: Sides, path: Path) -> bool:
    return len(_comments(sides.theirs, path)) < len(_comments(sides.base, path))


def _comments(draft: Draft, path: Path) -> tuple[str, ...]:
    """Give an entry's comments; what looks like one inside quotes is counted, which does no harm."""
    text = _text(draft, *path)
    return tuple(found.rstrip() for found in _COMMENT.findall(text or ""))


def _with_notes(sides: Sides, draft: Draft) -> tuple[Draft, tuple[Path, ...]]:
    """Take the entries in which theirs changed nothing but comments, and ours nothing at all."""
    notes = []
    for path in _newly_remarked(sides):
        if not _is_untouched(sides, path) or _has_fewer_comments(sides, path):
            continue
        if _comments(sides.theirs, path) == _comments(sides.base, path):
            continue
        if gist(_at(sides.base, path), path) != gist(_at(sides.theirs, path), path):
            continue
        text = entry_text(sides.theirs, *path)
        taken = with_entry_text(draft, *path, text) if isinstance(text, str) else text
        if isinstance(taken, Draft):
            draft = taken
            notes.append(path)
    return draft, tuple(notes)


def _newly_remarked(sides: Sides) -> Iterator[tuple[str, str]]:
    """Give the entries of theirs near which a comment stands that the base has not: a few of hundreds."""
    known = set(_COMMENT.findall(sides.base.text))
    lines = SourceText.of("", sides.theirs.text).lines
    new = [at for at, line in enumerate(lines, 1) if not known.issuperset(_COMMENT.findall(line))]
    for section in sides.theirs.tree.pairs() if new else ():
        if section.key in ENTRY_SECTIONS:
            entries = [(pair.key, pair.value.span.end_line) for pair in section.value.pairs()]
        elif section.key in NAMED and (found := names(section.value)) is not None:
            ends = (item.span.end_line for item in section.value.items())
            entries = list(zip(found, ends, strict=True))
        else:
            continue
        above = section.key_span.line
        for number, (name, end) in enumerate(entries):
            # Comments below an entry may still be its own; how far down is not asked here.
            below = entries[number + 1][1] if number + 1 < len(entries) else len(lines)
            if any(above <= line <= below for line in new):
                yield section.key, name
            above = end


def _at(draft: Draft, path: Path) -> Value | None:
    place = _place(draft, path)
    return None if place is None else at(draft.tree, place)


def _ordered(draft: Draft, order: Order) -> Draft:
    """Bring entries into order by moving their texts; where that cannot be done the order stays."""
    result = draft
    for place, name in enumerate(order.names):
        number = number_of(result, order.section, name)
        if number is None or number == place:
            continue
        text = entry_text(result, order.section, name)
        if isinstance(text, Problem):
            return draft
        out = without(result, (order.section, number))
        back = (
            with_entry_text(out, order.section, name, text, before=place) if isinstance(out, Draft) else out
        )
        if isinstance(back, Problem):
            return draft
        result = back
    return result


def _place(draft: Draft, path: Path) -> KeyPath | None:
    """Turn the name of a list's entry into its number; None when there is no such entry."""
    if len(path) < 2 or path[0] not in NAMED:
        return path
    number = number_of(draft, path[0], path[1])
    return None if number is None else (path[0], number, *path[2:])


def _keys_of(draft: Draft, path: Path) -> tuple[str, ...]:
    whole = _at(draft, path)
    if whole is None:
        return ()
    if len(path) != 1 or path[0] not in NAMED:
        return tuple(pair.key for pair in whole.pairs())
    return names(whole) or ()


def _behind(theirs: tuple[str, ...], key: str, there: tuple[str, ...]) -> int | None:
    """Give the place behind the nearest neighbour that comes before `key` in theirs; None: the last."""
    for earlier in reversed(theirs[: theirs.index(key)] if key in theirs else ()):
        if earlier in there:
            return there.index(earlier) + 1
    return None
