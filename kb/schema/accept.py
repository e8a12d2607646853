"""Whether a document surely follows the schema: one walk over the values, no library.

Measured: for a ruleset of 150 KB this takes 5 ms, and loading jsonschema-rs alone takes 18, which
is twice a bare start of Python, paid on every command. So the libraries are asked only about
files that are not accepted here, and they alone say what is wrong.

It can only err on the safe side: a keyword that this walk does not know makes it accept nothing,
and tests hold that whatever it accepts both libraries accept as well.
"""

import re
from collections.abc import Callable, Mapping
from functools import cache
from typing import Any, Final

from kb.schema import Schema, schema
from kb.value import Items, Pairs, Value

Rule = Callable[[Value], bool]
"""Whether a value surely follows one part of the schema."""


def accepts(document: Value) -> bool:
    """Whether `document` surely follows the schema. False: ask a library."""
    return _of_ref("#")(document)


@cache
def _of_ref(ref: str) -> Rule:
    """Give the rule for a part of the schema that others refer to. Made when first met."""
    part: Any = schema()
    for step in ref.removeprefix("#").split("/")[1:]:
        part = part[step]
    return _rule(part)


def _rule(part: Schema | bool) -> Rule:  # noqa: FBT001  (true and false are schemas too)
    """Make the rule of one part of the schema."""
    if isinstance(part, bool):
        return _anything if part else _nothing
    keywords = part.keys() - _SILENT
    if keywords - _MAKERS.keys():
        return _nothing
    rules = [make(part) for make in dict.fromkeys(_MAKERS[key] for key in part if key in keywords)]
    if len(rules) == 1:
        return rules[0]

    def every(value: Value) -> bool:
        for rule in rules:  # noqa: SIM110  (a plain loop is twice as fast, and this one runs for every value)
            if not rule(value):
                return False
        return True

    return every


def _anything(_value: Value) -> bool:
    return True


def _nothing(_value: Value) -> bool:
    return False


def _ref(part: Schema) -> Rule:
    ref: str = part["$ref"]
    found: list[Rule] = []

    def rule(value: Value) -> bool:
        if not found:
            found.append(_of_ref(ref))  # when first used: parts refer to one another
        return found[0](value)

    return rule


_TYPES: Final[Mapping[str, tuple[type, ...]]] = {
    "object": (Pairs,),
    "array": (Items,),
    "string": (str,),
    "number": (int, float),
    "integer": (int,),  # 2.0 is an integer to JSON Schema: that is left to a library
    "boolean": (bool,),
    "null": (type(None),),
}


def _type(part: Schema) -> Rule:
    names = [part["type"]] if isinstance(part["type"], str) else part["type"]
    types = frozenset(kind for name in names for kind in _TYPES[name])
    return lambda value: type(value.data) in types  # exact: True is no number


def _const(part: Schema) -> Rule:
    wanted = part["const"]
    return lambda value: type(value.data) is type(wanted) and value.data == wanted


def _enum(part: Schema) -> Rule:
    words = frozenset(part["enum"])
    if not all(isinstance(word, str) for word in words):
        return _nothing
    return lambda value: isinstance(value.data, str) and value.data in words


def _mapping(part: Schema) -> Rule:
    """Take all that is said about a mapping's keys together: one walk over its pairs."""
    named = {key: _rule(inner) for key, inner in part.get("properties", {}).items()}
    shaped = [
        (re.compile(pattern), _rule(inner)) for pattern, inner in part.get("patternProperties", {}).items()
    ]
    others = _rule(part.get("additionalProperties", True))
    required = frozenset(part.get("required", ()))
    most = part.get("maxProperties")

    def rule(value: Value) -> bool:
        data = value.data
        if not isinstance(data, Pairs):
            return True
        pairs = data.pairs
        if most is not None and len(pairs) > most:
            return False
        if required and not required <= {pair.key for pair in pairs}:
            return False
        for pair in pairs:
            own = named.get(pair.key)
            if own is not None:
                if shaped or not own(pair.value):
                    return False
                continue
            inner = shaped[0][1] if shaped and shaped[0][0].search(pair.key) else others
            if not inner(pair.value):
                return False
        return True

    # Where a key could be both named and shaped, or shaped twice, more than one rule would hold.
    return rule if len(shaped) <= 1 and not (named and shaped) else _nothing


def _list(part: Schema) -> Rule:
    """Take all that is said about a list together."""
    inner = _rule(part.get("items", True))
    least, most, unique = part.get("minItems", 0), part.get("maxItems"), part.get("uniqueItems", False)

    def rule(value: Value) -> bool:
        data = value.data
        if not isinstance(data, Items):
            return True
        items = data.items
        if len(items) < least or (most is not None and len(items) > most):
            return False
        if unique and len({item.data for item in items if isinstance(item.data, str)}) < len(items):
            return False
        for item in items:  # noqa: SIM110  (as above)
            if not inner(item):
                return False
        return True

    return rule


def _text(part: Schema) -> Rule:
    """Take all that is said about a text together."""
    least, most = part.get("minLength", 0), part.get("maxLength")
    pattern = re.compile(part.get("pattern", ""))
    known: set[str] = set()

    def rule(value: Value) -> bool:
        data = value.data
        if not isinstance(data, str) or data in known:
            return True
        if len(data) < least or (most is not None and len(data) > most) or pattern.search(data) is None:
            return False
        if len(data) <= _SHORT:
            known.add(data)
        return True

    return rule


_SHORT: Final = 64
"""Texts as long as an id are remembered as good: the same ids stand in a ruleset many times."""


def _number(part: Schema) -> Rule:
    """Take all that is said about a number together."""
    low, high = part.get("minimum", float("-inf")), part.get("maximum", float("inf"))
    above, below = part.get("exclusiveMinimum", float("-inf")), part.get("exclusiveMaximum", float("inf"))

    def rule(value: Value) -> bool:
        data = value.data
        if type(data) is not int and type(data) is not float:
            return True
        return bool(low <= data <= high and above < data < below)

    return rule


def _if(part: Schema) -> Rule:
    when, then, otherwise = _rule(part["if"]), _rule(part.get("then", True)), _rule(part.get("else", True))
    # Only `required` may stand in a condition: it is the one rule here that is exact both ways.
    if part["if"].keys() != {"required"}:
        return _nothing
    return lambda value: (then if when(value) else otherwise)(value)


_SILENT: Final = frozenset({"$schema", "$id", "$defs", "title", "description", "then", "else"})
"""Keywords that refuse nothing by themselves."""

_MAKERS: Final[Mapping[str, Callable[[Schema], Rule]]] = {
    "$ref": _ref,
    "type": _type,
    "const": _const,
    "enum": _enum,
    "if": _if,
    **dict.fromkeys(
        (
            "properties",
            "patternProperties",
            "additionalProperties",
            "required",
            "maxProperties",
        ),
        _mapping,
    ),
    **dict.fromkeys(("items", "uniqueItems", "minItems", "maxItems"), _list),
    **dict.fromkeys(("minLength", "maxLength", "pattern"), _text),
    **dict.fromkeys(("minimum", "maximum", "exclusiveMinimum", "exclusiveMaximum"), _number),
}
