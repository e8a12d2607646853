"""Whether a document surely follows the schema: one walk over the values, no library.

Measured: for a sound ruleset this takes a few milliseconds, loading jsonschema-rs alone takes 18,
which is twice a bare start of Python, paid on every command. So the libraries are asked only
about files that are not accepted here, and they alone say what is wrong.

It can only err on the safe side: a keyword that this walk does not know makes it accept nothing,
and tests hold that whatever it accepts both libraries accept as well.
"""

import re
from collections.abc import Callable
from functools import cache
from typing import Any, Final

from kb.schema import Schema, schema
from kb.value import Items, Pairs, Value


def accepts(document: Value) -> bool:
    """Whether `document` surely follows the schema. False: ask a library."""
    return _follows(document, schema())


def _follows(value: Value, part: Schema) -> bool:
    for keyword, wanted in part.items():
        rule = _RULES.get(keyword)
        if rule is None or not rule(value, wanted, part):
            return False
    return True


def _fits(value: Value, part: Schema | bool) -> bool:
    """Take the short forms of a schema, true and false, as well."""
    return part if isinstance(part, bool) else _follows(value, part)


def _says_nothing(_value: Value, _wanted: Any, _part: Schema) -> bool:
    return True


def _ref(value: Value, wanted: str, _part: Schema) -> bool:
    return _follows(value, _resolved(wanted))


@cache
def _resolved(ref: str) -> Schema:
    part: Any = schema()
    for step in ref.removeprefix("#/").split("/"):
        part = part[step]
    return part  # type: ignore[no-any-return]


def _type(value: Value, wanted: str | list[str], _part: Schema) -> bool:
    data = value.data
    names = (wanted,) if isinstance(wanted, str) else wanted
    return any(_is(data, name) for name in names)


def _is(data: Any, name: str) -> bool:
    match name:
        case "object":
            return isinstance(data, Pairs)
        case "array":
            return isinstance(data, Items)
        case "string":
            return isinstance(data, str)
        case "number":
            return isinstance(data, int | float) and not isinstance(data, bool)
        case "integer":
            return isinstance(data, int) and not isinstance(data, bool)  # 2.0 counts too: ask a library
        case "boolean":
            return isinstance(data, bool)
        case "null":
            return data is None
        case _:
            return False


def _const(value: Value, wanted: Any, _part: Schema) -> bool:
    return type(value.data) is type(wanted) and value.data == wanted


def _enum(value: Value, wanted: list[Any], _part: Schema) -> bool:
    return any(_const(value, one, _part) for one in wanted)


def _properties(value: Value, wanted: Schema, _part: Schema) -> bool:
    return all(pair.key not in wanted or _fits(pair.value, wanted[pair.key]) for pair in value.pairs())


def _pattern_properties(value: Value, wanted: Schema, _part: Schema) -> bool:
    return all(
        _fits(pair.value, part)
        for pattern, part in wanted.items()
        for pair in value.pairs()
        if _matches(pattern, pair.key)
    )


def _additional(value: Value, wanted: Schema | bool, part: Schema) -> bool:  # noqa: FBT001  (a schema may be a bool)
    if wanted is True:
        return True
    named = part.get("properties", {})
    patterns = part.get("patternProperties", {})
    return all(
        pair.key in named
        or any(_matches(pattern, pair.key) for pattern in patterns)
        or _fits(pair.value, wanted)
        for pair in value.pairs()
    )


def _required(value: Value, wanted: list[str], _part: Schema) -> bool:
    data = value.data
    return not isinstance(data, Pairs) or all(data.find(key) is not None for key in wanted)


def _items(value: Value, wanted: Schema | bool, _part: Schema) -> bool:  # noqa: FBT001  (a schema may be a bool)
    return not isinstance(value.data, Items) or all(_fits(item, wanted) for item in value.data.items)


def _unique(value: Value, _wanted: bool, _part: Schema) -> bool:  # noqa: FBT001  (what the keyword takes)
    if not isinstance(value.data, Items):
        return True
    words = [item.data for item in value.data.items]
    return all(isinstance(word, str) for word in words) and len(set(words)) == len(words)


def _if(value: Value, wanted: Schema, part: Schema) -> bool:
    return _fits(value, part.get("then" if _follows(value, wanted) else "else", True))


def _pattern(value: Value, wanted: str, _part: Schema) -> bool:
    return not isinstance(value.data, str) or _matches(wanted, value.data)


@cache
def _compiled(pattern: str) -> re.Pattern[str]:
    return re.compile(pattern)


def _matches(pattern: str, text: str) -> bool:
    return _compiled(pattern).search(text) is not None


def _size(holds: Callable[[int, Any], bool], *kinds: type) -> "Callable[[Value, Any, Schema], bool]":
    """Make the rule for a keyword that limits a count."""

    def rule(value: Value, wanted: Any, _part: Schema) -> bool:
        data = value.data
        if not isinstance(data, kinds):
            return True
        count = len(data) if isinstance(data, str) else len(value.pairs() or value.items())
        return holds(count, wanted)

    return rule


def _limit(holds: Callable[[float, float], bool]) -> "Callable[[Value, Any, Schema], bool]":
    """Make the rule for a keyword that limits a number."""

    def rule(value: Value, wanted: float, _part: Schema) -> bool:
        data = value.data
        return isinstance(data, bool) or not isinstance(data, int | float) or holds(data, wanted)

    return rule


_RULES: Final[dict[str, Callable[[Value, Any, Schema], bool]]] = {
    "$schema": _says_nothing,
    "$id": _says_nothing,
    "$defs": _says_nothing,
    "title": _says_nothing,
    "description": _says_nothing,
    "then": _says_nothing,  # applied by `if`
    "else": _says_nothing,
    "$ref": _ref,
    "type": _type,
    "const": _const,
    "enum": _enum,
    "properties": _properties,
    "patternProperties": _pattern_properties,
    "additionalProperties": _additional,
    "required": _required,
    "items": _items,
    "uniqueItems": _unique,
    "if": _if,
    "pattern": _pattern,
    "minLength": _size(lambda count, wanted: count >= wanted, str),
    "maxLength": _size(lambda count, wanted: count <= wanted, str),
    "minItems": _size(lambda count, wanted: count >= wanted, Items),
    "maxItems": _size(lambda count, wanted: count <= wanted, Items),
    "minProperties": _size(lambda count, wanted: count >= wanted, Pairs),
    "maxProperties": _size(lambda count, wanted: count <= wanted, Pairs),
    "minimum": _limit(lambda number, wanted: number >= wanted),
    "maximum": _limit(lambda number, wanted: number <= wanted),
    "exclusiveMinimum": _limit(lambda number, wanted: number > wanted),
    "exclusiveMaximum": _limit(lambda number, wanted: number < wanted),
}
