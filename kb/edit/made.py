"""Values made by a program, and values compared by what they mean.

Apart from `kb.value`, which walks what a file wrote: here nothing has a place. Two values mean the
same when they hold the same words and numbers in the same order; how they are written, and where,
is no part of that.
"""

from collections.abc import Iterable

from kb.text import NOWHERE
from kb.value import Items, Pair, Pairs, Scalar, Value

KeyPath = tuple[str | int, ...]
"""Keys and list positions from the top of a document to one value."""


def scalar(data: Scalar) -> Value:
    """Make a text, a number, a truth value or nothing."""
    return Value(data, NOWHERE)


def listing(items: Iterable[Value | Scalar]) -> Value:
    """Make a list."""
    return Value(Items(tuple(_value(item) for item in items)), NOWHERE)


def mapping(pairs: Iterable[tuple[str, Value | Scalar]]) -> Value:
    """Make a mapping, in this order."""
    return Value(Pairs(tuple(Pair(key, NOWHERE, _value(value)) for key, value in pairs)), NOWHERE)


def _value(item: Value | Scalar) -> Value:
    return item if isinstance(item, Value) else scalar(item)


def same(one: Value, other: Value) -> bool:
    """Whether two values mean the same: 1 and 1.0 do not, nor do two orders of the same keys.

    >>> same(listing(["a", 1]), listing(["a", 1])), same(scalar(1), scalar(1.0))
    (True, False)
    """
    match one.data, other.data:
        case Items(items=left), Items(items=right):
            return len(left) == len(right) and all(map(same, left, right))
        case Pairs(pairs=mine), Pairs(pairs=theirs):
            return len(mine) == len(theirs) and all(
                a.key == b.key and same(a.value, b.value) for a, b in zip(mine, theirs, strict=True)
            )
        case left, right:
            return type(left) is type(right) and left == right


def in_order_of(like: Value, value: Value) -> Value:
    """Give a value with its keys in the order in which another has them, and its new keys after those."""
    if isinstance(like.data, Pairs) and isinstance(value.data, Pairs):
        pairs = {pair.key: pair.value for pair in value.data}
        order = [pair.key for pair in like.data if pair.key in pairs]
        order += [key for key in pairs if like.get(key) is None]
        made = (Pair(key, value.span, in_order_of(like.get(key) or pairs[key], pairs[key])) for key in order)
        return Value(Pairs(tuple(made)), value.span)
    if isinstance(like.data, Items) and isinstance(value.data, Items):
        items = value.data.items
        first = [in_order_of(old, new) for old, new in zip(like.data.items, items, strict=False)]
        return Value(Items((*first, *items[len(first) :])), value.span)
    return value


def at(tree: Value, path: KeyPath) -> Value | None:
    """Give the value at `path`, or None."""
    value: Value | None = tree
    for part in path:
        if value is None:
            return None
        if isinstance(part, str):
            value = value.get(part)
        else:
            items = value.data.items if isinstance(value.data, Items) else ()
            value = items[part] if 0 <= part < len(items) else None
    return value


def put(tree: Value, path: KeyPath, value: Value) -> Value:
    """Give `tree` with `value` at `path`, in place of what was there or as the last of its neighbours."""
    if not path:
        return value
    part, rest = path[0], path[1:]
    if isinstance(part, int):
        items = list(tree.data.items if isinstance(tree.data, Items) else ())
        under = items[part] if part < len(items) else scalar(None)
        items[part : part + 1] = [put(under, rest, value)]
        return Value(Items(tuple(items)), tree.span)
    pairs = list(tree.pairs())
    where = next((i for i, pair in enumerate(pairs) if pair.key == part), len(pairs))
    old = pairs[where] if where < len(pairs) else Pair(part, NOWHERE, scalar(None))
    pairs[where : where + 1] = [Pair(part, old.key_span, put(old.value, rest, value))]
    return Value(Pairs(tuple(pairs)), tree.span)


def put_before(whole: Value, key: str | None, value: Value, before: int) -> Value:
    """Give a mapping with a new pair, or with no key a list with a new item, as number `before`."""
    if key is None:
        items = whole.items()
        return Value(Items((*items[:before], value, *items[before:])), whole.span)
    pairs = whole.pairs()
    return Value(Pairs((*pairs[:before], Pair(key, NOWHERE, value), *pairs[before:])), whole.span)


def taken(tree: Value, path: KeyPath) -> Value:
    """Give `tree` without what stands at `path`."""
    part, rest = path[0], path[1:]
    if rest:
        under = at(tree, (part,))
        return tree if under is None else put(tree, (part,), taken(under, rest))
    if isinstance(part, int):
        items = tree.data.items if isinstance(tree.data, Items) else ()
        return Value(Items(items[:part] + items[part + 1 :]), tree.span)
    return Value(Pairs(tuple(pair for pair in tree.pairs() if pair.key != part)), tree.span)
