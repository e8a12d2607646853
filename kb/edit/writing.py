"""Values as YAML: plain where plain is safe, in quotes where it is not.

Separate because it knows YAML and nothing of rulesets or of the text round about. Two hands: one
that writes on a line (flow style, all that may stand between brackets), one that writes lines
(block style). Lines end with LF here; whoever puts them into a file gives them its own line ends.
"""

import json
import re
from typing import Final

from kb.letters import HIDDEN
from kb.scalar import ImpossibleNumberError, meaning
from kb.value import Items, Pairs, Scalar, Value

WIDTH: Final = 100
"""Columns after which a mapping or a list is written on several lines, and a long text is folded."""
ALWAYS_FOLD: Final = 10 * WIDTH
"""Said in place of the columns that are taken, to fold a text however short it is."""
STEP: Final = 2
"""Columns by which what is inside is indented."""

_NEVER_FIRST: Final = frozenset("-?:,[]{}#&*!|>'\"%@`=~")
_ENDS_PLAIN: Final = re.compile(r":(?:\s|$)|\s#|[\t\n\r]|^\s|\s$")
_ENDS_IN_FLOW: Final = re.compile(r"[,\[\]{}]|:$")
_NO_FOLD: Final = re.compile(r"^\s|\s$|\s\s|[\t\n\r]")
_NO_LITERAL: Final = re.compile(r"^[ \t\n]|[ \t\n]$|[\t\r]|[ \t]\n|\n[ \t]")


class UnwritableError(ValueError):
    """A value that no ruleset may hold. Its text says why."""


def text_of(data: Scalar, *, flow: bool, quotes: str = "") -> str:
    """Write one word, number or text on one line; `quotes` are used when there is a choice.

    >>> [text_of(data, flow=False) for data in ("no", "it's", "1.0", "a: b", None, True, 0.5)]
    ['no', "it's", "'1.0'", "'a: b'", 'null', 'true', '0.5']
    """
    if data is None:
        return "null"
    if isinstance(data, bool):
        return "true" if data else "false"
    if isinstance(data, int | float):
        return _number(data)
    if HIDDEN.search(data):
        raise UnwritableError("this text holds an invisible character that no ruleset may hold")
    if "\n" in data or "\r" in data or "\t" in data or quotes == '"':
        return json.dumps(data, ensure_ascii=False)
    if quotes != "'" and _is_plain(data, flow=flow):
        return data
    return "'" + data.replace("'", "''") + "'"


def _number(number: float) -> str:
    written = repr(number)
    try:
        if meaning(written) == number:
            return written
    except ImpossibleNumberError as error:
        raise UnwritableError(str(error)) from error
    raise UnwritableError(f"{written} is no number that a ruleset can hold")


def _is_plain(text: str, *, flow: bool) -> bool:
    """Whether a text means itself without quotes."""
    if not text or text[0] in _NEVER_FIRST or text.startswith("...") or _ENDS_PLAIN.search(text):
        return False
    if flow and _ENDS_IN_FLOW.search(text):
        return False
    try:
        return meaning(text) == text
    except ImpossibleNumberError:
        return False


def unwritable(value: Value) -> str:
    """Say why a value cannot be written, or nothing when it can."""
    try:
        in_flow(value)
    except UnwritableError as fault:
        return str(fault)
    return ""


def in_flow(value: Value) -> str:
    """Write a value on one line.

    >>> from kb.edit.made import listing, mapping
    >>> in_flow(mapping([("a", listing(["x, y", 1])), ("b", mapping([]))]))
    "{a: ['x, y', 1], b: {}}"
    """
    match value.data:
        case Items(items=items):
            return "[" + ", ".join(in_flow(item) for item in items) + "]"
        case Pairs(pairs=pairs):
            return "{" + ", ".join(f"{key_of(p.key)}: {in_flow(p.value)}" for p in pairs) + "}"
        case data:
            return text_of(data, flow=True)


def key_of(key: str) -> str:
    """Write a key; it must be safe between brackets and outside of them."""
    return text_of(key, flow=True)


def after_key(value: Value, indent: int, *, quotes: str = "", room: int = 0) -> str:
    """Write what follows `key:` (a space and the value, or a line end and more lines).

    `indent` is the number of columns before the key, `room` those that are taken on its line.
    """
    match value.data:
        case Items() | Pairs() if not _fits(value, room or indent):
            return "\n" + in_block(value, indent + STEP)
        case str(text) if not quotes and ("\n" in text or len(text) + (room or indent) > WIDTH):
            return " " + (_folded(text, indent + STEP) or text_of(text, flow=False))
        case Items() | Pairs():
            return " " + in_flow(value)
        case data:
            return " " + text_of(data, flow=False, quotes=quotes)


def in_block(value: Value, indent: int) -> str:
    """Write a mapping or a list line by line, each indented; inner ones on their line if they fit."""
    before = " " * indent
    match value.data:
        case Items(items=items) if items:
            return "\n".join(f"{before}-{_item(item, indent)}" for item in items)
        case Pairs(pairs=pairs) if pairs:
            return "\n".join(before + pair_text(pair.key, pair.value, indent) for pair in pairs)
        case _:
            return before + in_flow(value)


def pair_text(key: str, value: Value, indent: int) -> str:
    """Write a key and its value in block style, the key's own indentation left out."""
    written = key_of(key)
    return f"{written}:{after_key(value, indent, room=indent + len(written) + 2)}"


def _item(item: Value, indent: int) -> str:
    """Write what follows the dash of a list."""
    if isinstance(item.data, Items | Pairs) and not _fits(item, indent + STEP):
        return " " + in_block(item, indent + STEP).lstrip()
    return after_key(item, indent, room=indent + STEP)


def block_item(item: Value, indent: int, *, lines: bool) -> str:
    """Write an item of a list with its dash, its own indentation left out; on several `lines` if asked."""
    if lines and isinstance(item.data, Pairs) and item.data.pairs:
        return "- " + in_block(item, indent + STEP).lstrip()
    return "-" + _item(item, indent)


def _fits(value: Value, room: int) -> bool:
    """Whether a list or a mapping is short enough for the rest of a line; the empty always is."""
    return not _has_lines(value) and room + len(in_flow(value)) <= WIDTH


def _has_lines(value: Value) -> bool:
    match value.data:
        case Items(items=items):
            return any(_has_lines(item) for item in items)
        case Pairs(pairs=pairs):
            return any(_has_lines(pair.value) for pair in pairs)
        case data:
            return isinstance(data, str) and "\n" in data


def _folded(text: str, indent: int) -> str:
    """Write a text as a block: folded when it is one paragraph, else line by line; "" when neither holds."""
    before = " " * indent
    if not _NO_FOLD.search(text):
        lines, line = [], ""
        for word in text.split(" "):
            if line and len(line) + len(word) + 1 > max(WIDTH - indent, 20):
                lines.append(line)
                line = word
            else:
                line = f"{line} {word}" if line else word
        return ">-\n" + "\n".join(before + each for each in (*lines, line))
    if "\n" in text and not _NO_LITERAL.search(text):
        sign = "|" if text.endswith("\n") else "|-"
        return (
            sign + "\n" + "\n".join(before + line if line else "" for line in text.rstrip("\n").split("\n"))
        )
    return ""
