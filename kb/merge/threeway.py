"""Three documents to one, by meaning: what theirs changed since the base, on top of ours.

Pure: values in, edits to ours and conflicts out; `kb.merge.redraw` makes the edits on the text. An
entry that only one side changed is that side's; in one that both changed, the same is asked of each
key. What both changed differently is a conflict, and stays as ours says.
"""

from collections.abc import Hashable, Iterator
from dataclasses import dataclass
from typing import Final

from kb.merge.lists import (
    NAMED,
    Path,
    gist,
    is_section,
    is_sequence,
    is_set,
    merged_sequence,
    merged_set,
    names,
)
from kb.value import Items, Pairs, Value

_WHOLE: Final = frozenset({"extends", "read", "tie"})
"""Mappings whose keys only make sense together."""


@dataclass(frozen=True, slots=True)
class Edit:
    """One thing to be changed in ours: `value` is what `path` shall say, None that it shall not be there."""

    path: Path
    before: Value | None
    value: Value | None


@dataclass(frozen=True, slots=True)
class Order:
    """The order into which the entries of a list section are to be brought."""

    section: str
    names: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Conflict:
    """One place that both sides changed, each in its own way; None: it is not there."""

    path: Path
    base: Value | None
    ours: Value | None
    theirs: Value | None
    is_order: bool = False
    """Whether only the order of entries is in conflict."""


Step = Edit | Order | Conflict


def steps(base: Value, ours: Value, theirs: Value) -> tuple[Step, ...]:
    """Give what has to be done to ours, and what cannot be decided."""
    return tuple(_mapping((), base, ours, theirs))


def _value(path: Path, base: Value | None, ours: Value | None, theirs: Value | None) -> Iterator[Step]:
    """Merge what stands at one place."""
    was, our, their = gist(base, path), gist(ours, path), gist(theirs, path)
    if their in (our, was):
        return
    if is_section(path) and not _is_odd(path, base, ours, theirs):
        yield from _section(path, base, ours, theirs)
    elif was == our:
        yield Edit(path, ours, theirs)
    elif ours is None or theirs is None:
        yield Conflict(path, base, ours, theirs)
    elif isinstance(ours.data, Pairs) and isinstance(theirs.data, Pairs) and path[-1] not in _WHOLE:
        yield from _mapping(path, base, ours, theirs)
    else:
        yield from _list(path, base, ours, theirs)


def _is_odd(path: Path, *sides: Value | None) -> bool:
    """Whether a section is not what it should be: no entries by name, so that it is merged as a whole."""
    if path[0] in NAMED:
        return any(names(one) is None for one in sides)
    return any(one is not None and not isinstance(one.data, Pairs | None) for one in sides)


def _mapping(path: Path, base: Value | None, ours: Value | None, theirs: Value | None) -> Iterator[Step]:
    """Merge key by key; keys of ours first, then those that only theirs has."""
    sides = [base, ours, theirs]
    keys = dict.fromkeys(pair.key for one in (ours, theirs) if one is not None for pair in one.pairs())
    for key in keys:
        yield from _value((*path, key), *(None if one is None else one.get(key) for one in sides))


def _section(path: Path, base: Value | None, ours: Value | None, theirs: Value | None) -> Iterator[Step]:
    """Merge entry by entry."""
    section = path[0]
    if section not in NAMED:
        yield from _mapping(path, base, ours, theirs)
        return
    was, our, their = (_by_name(one) for one in (base, ours, theirs))
    for name in dict.fromkeys((*our, *their)):
        yield from _value((*path, name), was.get(name), our.get(name), their.get(name))
    if section == "priorities":
        yield from _order(section, (base, ours, theirs), (tuple(was), tuple(our), tuple(their)))


def _by_name(value: Value | None) -> dict[str, Value]:
    found = names(value) or ()
    return dict(zip(found, value.items() if value is not None else (), strict=True))


def _order(
    section: str,
    sides: tuple[Value | None, Value | None, Value | None],
    orders: tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...]],
) -> Iterator[Step]:
    """Merge the order of entries, where it means something."""
    base, ours, theirs = orders
    stay = merged_set(base, ours, theirs)
    merged = merged_sequence(base, ours, theirs)
    if merged is None:
        yield Conflict((section,), *sides, is_order=True)
        merged = stay
    left = tuple(name for name in merged if name in stay)
    yield Order(section, (*left, *(name for name in stay if name not in left)))


def _list(path: Path, base: Value | None, ours: Value, theirs: Value) -> Iterator[Step]:
    """Merge two lists that both differ from the base, or say that it cannot be done."""
    known: dict[Hashable, Value] = {}
    sides = []
    for side in (theirs, base, ours):  # ours last: of two that mean the same its words stay
        items = side.items() if side is not None else ()
        known |= {gist(item, (*path, "")): item for item in items}
        sides.append([gist(item, (*path, "")) for item in items])
    their, was, our = sides
    merged: tuple[Hashable, ...] | None = None
    if is_set(path):
        merged = merged_set(was, our, their)
    elif is_sequence(path) and all(isinstance(one.data, Items) for one in (ours, theirs)):
        merged = merged_sequence(was, our, their)
    if merged is None:
        yield Conflict(path, base, ours, theirs)
    elif list(merged) != our:
        yield Edit(path, ours, Value(Items(tuple(known[one] for one in merged)), ours.span))
