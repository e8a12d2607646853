"""What order means in a list, and how two changed lists become one.

Apart from the rest of the merge because a list has no keys to go by: some lists are sets (sources),
some are sequences (the opening, rechecks), a few have entries with names (priorities, trials), and
in all others the items belong together (the two ends of a target, the corners of a zone).
"""

from collections import Counter
from collections.abc import Hashable, Sequence
from difflib import SequenceMatcher
from typing import Final, TypeVar

from kb.edit.verbs import LIST_SECTIONS
from kb.ids import ENTRY_SECTIONS
from kb.value import Items, Pairs, Value

T = TypeVar("T", bound=Hashable)
Path = tuple[str, ...]
"""Keys from the top of a file to a value; an entry of a list section goes by its name."""

NAMED: Final = LIST_SECTIONS
"""Sections that are lists of entries, which go by their id or title."""
_SETS: Final = frozenset({"sources", "unless", "after", "step", "not_step", "withdraw", "differs"})
_SEQUENCES: Final = frozenset({"opening", "recheck", "points", "lanes"})


def is_set(path: Path) -> bool:
    """Whether the order of the list at `path` means nothing."""
    return path[-1] in _SETS and (len(path) > 1 or path[-1] == "withdraw")


def is_sequence(path: Path) -> bool:
    """Whether the list at `path` is one in which items can be put and taken one by one, in order."""
    return path[-1] in _SEQUENCES


def is_section(path: Path) -> bool:
    """Whether entries stand at `path`, each by its id or name."""
    return len(path) == 1 and (path[0] in ENTRY_SECTIONS or path[0] in NAMED)


def names(value: Value | None) -> tuple[str, ...] | None:
    """Give the names of a list section's entries; None when one has none, or two have the same."""
    items = () if value is None else value.items()
    named = [item.get("id") or item.get("title") for item in items]
    found = tuple(one.data for one in named if one is not None and isinstance(one.data, str))
    return found if len(found) == len(items) == len(set(found)) else None


def gist(value: Value | None, path: Path = ()) -> Hashable:
    """Give what a value means, to be compared: without order where order means nothing.

    1 and 1.0 are the same; a word of chance and its number are not, for the word may change.
    """
    if value is None:
        return None
    if isinstance(value.data, Pairs):
        pairs = [
            (pair.key, gist(pair.value, (*path, pair.key)))
            for pair in value.data
            if path or not is_section((pair.key,)) or not _is_empty(pair.value)
        ]
        return frozenset(pairs)
    is_unordered = bool(path) and (is_set(path) or path == ("trials",))
    if isinstance(value.data, Items) or (is_unordered and value.data is not None):
        items = [gist(item, (*path, "")) for item in value.items()]
        return frozenset(Counter(items).items()) if is_unordered else tuple(items)
    if isinstance(value.data, bool) or not isinstance(value.data, int | float):
        return type(value.data).__name__, value.data
    return "number", float(value.data)


def _is_empty(section: Value) -> bool:
    """Whether a section says as little as none would."""
    match section.data:
        case Items(items=items):
            return not items
        case Pairs(pairs=pairs):
            return not pairs
        case data:
            return data is None


def merged_set(base: Sequence[T], ours: Sequence[T], theirs: Sequence[T]) -> tuple[T, ...]:
    """Give ours without what theirs took out, and with what it put in.

    >>> merged_set("abc", "abcd", "bce")
    ('b', 'c', 'd', 'e')
    """
    kept = [one for one in ours if one in theirs or one not in base]
    return (*kept, *(one for one in theirs if one not in base and one not in ours))


def merged_sequence(base: Sequence[T], ours: Sequence[T], theirs: Sequence[T]) -> tuple[T, ...] | None:
    """Merge two changed sequences; None where both changed the same stretch, and not alike.

    Between items that all three have in common, a stretch that one side left alone is the other's
    (S. Khanna, K. Kunal and B. Pierce, A formal investigation of diff3, 2007, from memory).

    >>> merged_sequence("abcd", "axbcd", "abd"), merged_sequence("ab", "axb", "ayb")
    (('a', 'x', 'b', 'd'), None)
    """
    merged: list[T] = []
    at, our_at, their_at = 0, 0, 0
    mine, other = _matches(base, ours), _matches(base, theirs)
    for end in [number for number in range(len(base)) if number in mine and number in other] + [len(base)]:
        our_end, their_end = mine.get(end, len(ours)), other.get(end, len(theirs))
        before, our, their = base[at:end], ours[our_at:our_end], theirs[their_at:their_end]
        if list(our) == list(their) or list(before) == list(their):
            merged += our
        elif list(before) == list(our):
            merged += their
        else:
            return None
        merged += base[end : end + 1]
        at, our_at, their_at = end + 1, our_end + 1, their_end + 1
    return tuple(merged)


def _matches(base: Sequence[T], other: Sequence[T]) -> dict[int, int]:
    """Give for each place of `base` that stays its place in `other`."""
    blocks = SequenceMatcher(None, base, other, autojunk=False).get_matching_blocks()
    return {block.a + n: block.b + n for block in blocks for n in range(block.size)}
