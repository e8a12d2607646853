"""What can be done to a draft: change, add, remove. Each gives a new draft, or says why it cannot.

A path names a place: `("causes", "tip-too-thick", "shows", "starts-late")`, list items by their
number from 0. Every result was read again and means what was asked for and nothing else.
"""

from difflib import SequenceMatcher
from typing import Final

from kb.edit.adding import adding, first_lines
from kb.edit.changing import in_brackets, key_span, written_anew
from kb.edit.draft import Draft, redrawn
from kb.edit.made import KeyPath, at, in_order_of, mapping, put, put_before, same, taken
from kb.edit.page import Page
from kb.edit.removing import removing
from kb.edit.writing import STEP, in_block, in_flow, unwritable
from kb.problem import Problem
from kb.schema import sections
from kb.value import Items, Pairs, Value

LIST_SECTIONS: Final = frozenset({"priorities", "trials"})
"""Sections that are lists: their entries go by `id`, or by `title` where they have none."""


def changed(draft: Draft, path: KeyPath, value: Value) -> Draft | Problem:
    """Write another value at `path`; of a mapping or a list, only what differs is touched.

    The keys of a mapping say nothing by their order, and stay in that of the text.
    """
    old = at(draft.tree, path)
    if old is None:
        return _nothing_at(draft, path)
    value = in_order_of(old, value)
    if same(old, value):
        return draft
    if why := unwritable(value):
        return draft.refuse(why, at=old.span)
    if isinstance(old.data, Pairs) and isinstance(value.data, Pairs) and old.data.pairs and value.data.pairs:
        result = _changed_pairs(draft, path, old, value)
    elif (
        isinstance(old.data, Items) and isinstance(value.data, Items) and old.data.items and value.data.items
    ):
        result = _changed_items(draft, path, old, value)
    else:
        return written_anew(draft, path, old, value)
    if isinstance(result, Draft) and not same(result.tree, put(draft.tree, path, value)):
        return written_anew(draft, path, old, value)
    return result


def added(
    draft: Draft, path: KeyPath, key: str, value: Value, *, before: int | None = None
) -> Draft | Problem:
    """Add a key to the mapping at `path`, as its last pair or as number `before`."""
    whole = at(draft.tree, path)
    if whole is None:
        return _nothing_at(draft, path)
    if not isinstance(whole.data, Pairs | None):
        return draft.refuse(f"{_said(path)} is no mapping: it takes no keys", at=whole.span)
    if whole.get(key) is not None:
        there = next(pair.key_span for pair in whole.pairs() if pair.key == key)
        return draft.refuse(f"{key!r} is there already", "change it, or choose another word", at=there)
    place = len(whole.pairs()) if before is None else before
    return _grown(draft, path, whole, key, value, place)


def appended(draft: Draft, path: KeyPath, value: Value, *, before: int | None = None) -> Draft | Problem:
    """Add an item to the list at `path`, as its last or as number `before`."""
    whole = at(draft.tree, path)
    if whole is None:
        return _nothing_at(draft, path)
    if not isinstance(whole.data, Items | None):
        return draft.refuse(f"{_said(path)} is no list", at=whole.span)
    place = len(whole.items()) if before is None else before
    return _grown(draft, path, whole, None, value, place)


def with_entry(draft: Draft, section: str, entry: str, value: Value) -> Draft | Problem:
    """Add an entry to a section, and the section when there is none yet; of a list, `entry` is not asked."""
    there = draft.tree.get(section)
    is_list = section in LIST_SECTIONS
    if there is None:
        empty = Value(Items(()) if is_list else Pairs(()), value.span)
        begun = added(draft, (), section, empty, before=_place_of(draft.tree, section))
        return begun if isinstance(begun, Problem) else with_entry(begun, section, entry, value)
    return appended(draft, (section,), value) if is_list else added(draft, (section,), entry, value)


def without(draft: Draft, path: KeyPath) -> Draft | Problem:
    """Take out what stands at `path`, with the comments that are its own."""
    whole = at(draft.tree, path[:-1]) if path else None
    if whole is None or at(draft.tree, path) is None:
        return _nothing_at(draft, path)
    part = path[-1]
    number = part if isinstance(part, int) else [pair.key for pair in whole.pairs()].index(part)
    cuts = removing(Page.of(draft), whole, number, key_span(draft.tree, path[:-1]))
    return redrawn(draft, cuts, taken(draft.tree, path))


def _place_of(tree: Value, section: str) -> int:
    """Give the place of a new section: after those that come before it in the order of the format."""
    before = set(sections()[: sections().index(section)]) if section in sections() else set(sections())
    return max(
        (i + 1 for i, pair in enumerate(tree.pairs()) if pair.key in before), default=len(tree.pairs())
    )


def _grown(
    draft: Draft, path: KeyPath, whole: Value, key: str | None, value: Value, place: int
) -> Draft | Problem:
    """Add a part to the list or mapping at `path`, which may have none yet."""
    if why := unwritable(_only(key, value)):
        return draft.refuse(why, at=whole.span)
    page = Page.of(draft)
    above = key_span(draft.tree, path)
    grown = put_before(whole, key, value, place)
    if whole.data is None and (above is None or in_brackets(page, draft.tree, path)):
        return written_anew(draft, path, whole, grown)
    if page.parts(whole) or above is None or in_brackets(page, draft.tree, path):
        cuts = adding(page, whole, key, value, place)
    else:
        lines = in_block(_only(key, value), page.column(page.begin(above)) + STEP)
        cuts = first_lines(page, above, whole, lines)
    return redrawn(draft, cuts, put(draft.tree, path, grown))


def _only(key: str | None, value: Value) -> Value:
    return Value(Items((value,)), value.span) if key is None else mapping([(key, value)])


def _changed_pairs(draft: Draft, path: KeyPath, old: Value, value: Value) -> Draft | Problem:
    """Go through the keys of a mapping: change, add, take out."""
    result: Draft | Problem = draft
    wanted = {pair.key for pair in value.pairs()}
    # Taking out comes last, so that the mapping is never empty on the way.
    for number, pair in enumerate(value.pairs()):
        if isinstance(result, Problem):
            return result
        if at(result.tree, (*path, pair.key)) is None:
            result = added(result, path, pair.key, pair.value, before=_after(result, path, value, number))
        else:
            result = changed(result, (*path, pair.key), pair.value)
    for pair in old.pairs():
        if pair.key not in wanted and isinstance(result, Draft):
            result = without(result, (*path, pair.key))
    return result


def _after(draft: Draft, path: KeyPath, value: Value, number: int) -> int:
    """Give the place just behind the key that comes before number `number` in `value`."""
    whole = at(draft.tree, path)
    keys = [pair.key for pair in whole.pairs()] if whole is not None else []
    return keys.index(value.pairs()[number - 1].key) + 1 if number else 0


def _changed_items(draft: Draft, path: KeyPath, old: Value, value: Value) -> Draft | Problem:
    """Change a list item by item, leaving alone those that stay."""
    before, after = old.items(), value.items()
    steps = SequenceMatcher(None, [in_flow(v) for v in before], [in_flow(v) for v in after], autojunk=False)
    result: Draft | Problem = draft
    for kind, low, high, first, last in reversed(steps.get_opcodes()):
        if kind == "equal":
            continue
        shared = min(high - low, last - first)
        for i in range(shared):
            if isinstance(result, Draft):
                result = changed(result, (*path, low + i), after[first + i])
        for item in reversed(after[first + shared : last]):
            if isinstance(result, Draft):
                result = appended(result, path, item, before=low + shared)
        for i in reversed(range(low + shared, high)):
            if isinstance(result, Draft):
                result = without(result, (*path, i))
    return result


def _said(path: KeyPath) -> str:
    return repr(str(path[-1])) if path else "this file"


def _nothing_at(draft: Draft, path: KeyPath) -> Problem:
    for depth in range(len(path), 0, -1):
        under = at(draft.tree, path[: depth - 1])
        if under is not None:
            what = (
                f"the list has no item {path[depth - 1]}"
                if isinstance(path[depth - 1], int)
                else f"there is no {path[depth - 1]!r}"
            )
            where = f" under {path[depth - 2]!r}" if depth > 1 else " in this file"
            return draft.refuse(what + where, at=under.span if depth > 1 else None)
    return draft.refuse("the whole file cannot be taken out")
