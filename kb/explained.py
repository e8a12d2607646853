"""A fault of the schema, said in the words of someone who writes rules.

Separate from `kb.shape` because it is all wording, and loaded only for a file at fault. One small
function for each thing that a schema can refuse; the table at the end says which is which.
"""

import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any, Final

from kb.ids import RESERVED, is_well_formed
from kb.nearest import hint, nearest, only
from kb.patch import Replacement, over, quoted
from kb.problem import CheckName, Problem
from kb.schema import REFUSED, Fault
from kb.text import Span
from kb.value import Items, Pair, Place, Value

MISSING_KEY: Final = CheckName("missing-key")
UNKNOWN_KEY: Final = CheckName("unknown-key")
MISPLACED_KEY: Final = CheckName("misplaced-key")
WRONG_KIND: Final = CheckName("wrong-kind")
UNKNOWN_WORD: Final = CheckName("unknown-word")
MALFORMED_ID: Final = CheckName("malformed-id")
DUPLICATE_ID: Final = CheckName("duplicate-id")
EMPTY_TEXT: Final = CheckName("empty-text")
TOO_BIG: Final = CheckName("too-big")
IMPOSSIBLE_NUMBER: Final = CheckName("impossible-number")
WRONG_FORMAT_NUMBER: Final = CheckName("wrong-format-number")
UNQUOTED_VERSION: Final = CheckName("unquoted-version")

Path = tuple[str | int, ...]


def explain(root: Place, fault: Fault) -> Sequence[Problem]:
    """Make problems of one fault of the document at `root`."""
    return _EXPLAINERS.get(fault.keyword, _too_much)(root, fault)


def strangers(root: Place, fault: Fault) -> tuple[Pair, ...]:
    """Give the pairs that a closed mapping does not know."""
    known = fault.schema.get("properties", {})
    patterns = [re.compile(pattern) for pattern in fault.schema.get("patternProperties", {})]
    return tuple(
        pair
        for pair in _at(root, fault).pairs()
        if pair.key not in known and not any(pattern.search(pair.key) for pattern in patterns)
    )


def absent(root: Place, fault: Fault) -> tuple[str, ...]:
    """Give the keys that a mapping must have and has not."""
    value = _at(root, fault)
    return tuple(key for key in fault.schema["required"] if value.get(key) is None)


def and_more(last: Problem, count: int) -> Problem:
    """Say at the last fault that is told that there are more."""
    what = f"this file has {count} more faults of shape"
    return Problem(last.span, TOO_BIG, what, "mend those told here first; is it a ruleset at all?")


def _at(root: Place, fault: Fault) -> Value:
    value = root.value
    for part in fault.path:
        value = value.items()[part] if isinstance(part, int) else value[part]
    return value


def _name(fault: Fault) -> str:
    """Give the key of what is at fault, as a message calls it."""
    last = fault.path[-1] if fault.path else "this file"
    return last if isinstance(last, str) else "an item of this list"


def _called(root: Place, fault: Fault) -> str:
    """Call a mapping as its author would."""
    if not fault.path:
        return "this ruleset"
    if isinstance(fault.path[-1], str):
        return repr(fault.path[-1])
    value = _at(root, fault)
    for key in ("id", "title"):
        named = value.get(key)
        if named is not None and isinstance(named.data, str) and named.data:
            return _short(named.data)
    section = next((part for part in reversed(fault.path) if isinstance(part, str)), "")
    return f"this {_ONE_OF.get(section, 'item')}"


_ONE_OF: Final = {"priorities": "priority", "trials": "trial", "rounds": "round", "points": "point"}


def _head(root: Place, fault: Fault) -> Span:
    """Give the span of the key that names a mapping; of a list item or a whole file, of its first key."""
    if fault.path and isinstance(fault.path[-1], str):
        return root.key_of(*fault.path)
    value = _at(root, fault)
    pairs = value.pairs()
    return pairs[0].key_span if pairs else value.span


def _short(text: str) -> str:
    return repr(text if len(text) <= 40 else text[:39] + "…")


def _too_much(root: Place, fault: Fault) -> list[Problem]:
    span = root.of(*fault.path)
    return [Problem(span, TOO_BIG, f"{_name(fault)} holds more than it may", "make it shorter")]


def _empty(root: Place, fault: Fault) -> list[Problem]:
    span, advice = root.of(*fault.path), f"write it, or take {_name(fault)} out"
    return [Problem(span, EMPTY_TEXT, "nothing is written here", advice)]


def _misplaced(root: Place, fault: Fault) -> list[Problem]:
    span = root.key_of(*fault.path)
    what = f"{_name(fault)!r} does not go with the other keys here"
    if fault.path[:1] == ("extends",):
        advice = "name a file, or an id and a version"
    elif "read" in fault.path:
        advice = "a reading is of a quantity, or of a thickness with lane and between"
    else:
        advice = "a step asks (yes, no, slightly, unsure), does (then) or stops"
    return [Problem(span, MISPLACED_KEY, what, advice)]


def _missing(root: Place, fault: Fault) -> list[Problem]:
    span, what = _head(root, fault), _called(root, fault)
    missing = _not_misspelt(root, fault)
    if missing == ("stop",):
        return [Problem(span, MISSING_KEY, f"{what} does nothing", "write ask, do or stop")]
    if fault.path and "read" in fault.path and "quantity" in missing:
        return [
            Problem(span, MISSING_KEY, "read does not say what is measured", "write quantity, or thickness")
        ]
    problems = []
    for key in missing:
        if key == "canebrake":
            unsaid = "this file does not say in which format it is written"
            problems.append(
                Problem(
                    span, WRONG_FORMAT_NUMBER, unsaid, "a ruleset begins with canebrake: 1", mend=_first(span)
                )
            )
        else:
            problems.append(Problem(span, MISSING_KEY, f"{what} has no {key}", f"write {key}: …"))
    return problems


def _first(span: Span) -> tuple[Replacement, ...]:
    """Write the format number before the first key, where that one begins its line."""
    before = span._replace(end_line=span.line, end_column=span.column)
    return (Replacement(before, "canebrake: 1\n"),) if span.column == 1 else ()


def _not_misspelt(root: Place, fault: Fault) -> tuple[str, ...]:
    """Give the keys that are missing, without those that stand there mistyped and are told as that."""
    known: Mapping[str, Any] = fault.schema.get("properties", {})
    closed = known and fault.schema.get("additionalProperties") is False
    found = strangers(root, fault)[:_MOST] if closed else ()
    meant = {nearest(pair.key.replace("-", "_"), known) for pair in found}
    return tuple(key for key in absent(root, fault) if key not in meant)


def _unknown(root: Place, fault: Fault) -> list[Problem]:
    if fault.path == ("words",):
        what, advice = "this word of chance has no letters", "write the word before the colon"
        return [Problem(pair.key_span, EMPTY_TEXT, what, advice) for pair in strangers(root, fault)]
    if "patternProperties" in fault.schema:
        return [_bad_id(pair.key_span, pair.key) for pair in strangers(root, fault)]
    known: Mapping[str, Any] = fault.schema.get("properties", {})
    all_known = f"the keys here are {', '.join(known)}" if len(known) <= 12 else ""
    owner = _called(root, fault) if fault.path else "a ruleset"
    return [
        Problem(
            pair.key_span,
            UNKNOWN_KEY,
            f"{_short(pair.key)} is no key of {owner}",
            hint(pair.key.replace("-", "_"), known) or hint(pair.key, known) or all_known,
            mend=over(pair.key_span, only(pair.key.replace("-", "_"), known) or only(pair.key, known)),
        )
        for pair in strangers(root, fault)[:_MOST]
    ]


_MOST: Final = 100
"""Unknown keys of one mapping that are named: with more, it is another kind of file altogether."""


def _bad_id(span: Span, text: str) -> Problem:
    plain = "".join(sign if sign.isascii() and sign.isalnum() else "-" for sign in text[:200].lower())
    better = "-".join(part for part in plain.split("-") if part)[:64].strip("-")
    advice = f"write {better!r}" if is_well_formed(better) else "an id begins with a letter"
    shape = "an id is small letters a-z and digits, in words joined by single hyphens"
    what = f"{text!r} cannot be an id" if len(text) <= 64 else "this id has more than 64 characters"
    mend = over(span, better if is_well_formed(better) and better not in RESERVED else "")
    return Problem(span, MALFORMED_ID, what, f"{advice}: {shape}", mend=mend)


def _wrong_format(root: Place, fault: Fault) -> list[Problem]:
    value, span = _at(root, fault), root.of(*fault.path)
    if isinstance(value.data, int | float) and not isinstance(value.data, bool):
        what = f"this ruleset is written in format {value.data}, and this program reads format 1"
        advice = "get a newer canebrake, or write canebrake: 1 if the file is in that format"
        return [Problem(span, WRONG_FORMAT_NUMBER, what, advice)]
    return [Problem(span, WRONG_FORMAT_NUMBER, "the format is not a number", "write canebrake: 1")]


_KINDS: Final = {
    "string": "text",
    "number": "a number",
    "integer": "a whole number",
    "boolean": "true or false",
    "null": "null",
    "object": "a mapping (key: value)",
    "array": "a list ([…, …])",
}


def _kind(value: Value) -> str:
    match value.data:
        case None:
            return "nothing is written"
        case bool():
            return "true or false is written"
        case int() | float():
            return f"the number {value.data} is written"
        case str():
            return f"the text {_short(value.data)} is written"
        case Items():
            return "a list is written"
        case _:
            return "a mapping is written"


def _wrong_kind(root: Place, fault: Fault) -> list[Problem]:
    value, span, name = _at(root, fault), root.of(*fault.path), _name(fault)
    wanted = fault.schema["type"]
    kinds = [wanted] if isinstance(wanted, str) else wanted
    is_number = isinstance(value.data, int | float) and not isinstance(value.data, bool)
    if name == "version" and is_number:
        advice = f"write '{value.data}' in quotes"
        what = f"the version {value.data} is a number"
        return [Problem(span, UNQUOTED_VERSION, what, advice, mend=quoted(span))]
    if not fault.path:
        what = "this is no ruleset: it has no keys"
        return [Problem(span, WRONG_KIND, what, "a ruleset begins with canebrake: 1")]
    advice = ""
    mend: tuple[Replacement, ...] = ()
    if "string" in kinds and is_number:
        advice, mend = f"put it in quotes: '{value.data}'", quoted(span)
    if kinds == ["boolean"] and value.data in {"yes", "no", "on", "off"}:
        meant = "true" if value.data in {"yes", "on"} else "false"
        advice, mend = f"write {meant}", over(span, meant)
    if value.data is None:
        span = root.key_of(*fault.path)
        advice = f"write it, or take {name} out" if isinstance(fault.path[-1], str) else "take it out"
    said = " or ".join(_KINDS[kind] for kind in kinds)
    return [Problem(span, WRONG_KIND, f"{name} should be {said}, but {_kind(value)}", advice, mend=mend)]


def _unknown_word(root: Place, fault: Fault) -> list[Problem]:
    value, span = _at(root, fault), root.of(*fault.path)
    words = [str(word) for word in fault.schema["enum"]]
    all_words = ", ".join(words)
    if isinstance(value.data, str):
        advice = hint(value.data, words) or f"write one of {all_words}"
        what = f"{_short(value.data)} is not a word for this"
        return [Problem(span, UNKNOWN_WORD, what, advice, mend=over(span, only(value.data, words)))]
    said = f"one of {all_words}" if len(words) > 1 else all_words
    meant = {True: "yes", False: "no"}.get(value.data, "") if isinstance(value.data, bool) else ""
    advice = f"write {meant}" if meant in words else ""
    return [Problem(span, WRONG_KIND, f"{said} should stand here, but {_kind(value)}", advice)]


def _malformed(root: Place, fault: Fault) -> list[Problem]:
    span, text = root.of(*fault.path), str(_at(root, fault).data)
    pattern = str(fault.schema.get("pattern", ""))
    if fault.keyword == "pattern" and pattern == r"\S":
        return _empty(root, fault)
    if fault.keyword == "maxLength":
        what = f"this text has more than {fault.schema['maxLength']} characters"
        return [Problem(span, TOO_BIG, what, "shorten it")]
    if "target" in pattern:
        what, advice = f"{_short(text)} is not a word for this", "write a number, or target"
        return [Problem(span, UNKNOWN_WORD, what, advice)]
    if "A-Z" in pattern:
        what, advice = f"{_short(text)} is no language tag", "write one such as en, de or pt-BR"
        return [Problem(span, UNKNOWN_WORD, what, advice)]
    return [_bad_id(span, text)]


def _impossible(root: Place, fault: Fault) -> list[Problem]:
    value, span, part = _at(root, fault), root.of(*fault.path), fault.schema
    ends = (
        ("exclusiveMinimum", "above"),
        ("minimum", "at least"),
        ("exclusiveMaximum", "below"),
        ("maximum", "at most"),
    )
    said = " and ".join(f"{word} {part[key]:g}" for key, word in ends if key in part)
    is_chance = part.get("maximum", part.get("exclusiveMaximum")) in {0.5, 1}
    advice = "a chance is written as a part of 1: 0.3 and not 30" if is_chance else ""
    # 30 for 0.3 is how a percentage is written; any other number may be meant in other ways.
    number = value.data
    mend = (
        over(span, f"{number / 100:g}")
        if is_chance and isinstance(number, int) and 2 <= number <= 100
        else ()
    )
    return [Problem(span, IMPOSSIBLE_NUMBER, f"{value.data} must be {said}", advice, mend=mend)]


def _wrong_count(root: Place, fault: Fault) -> list[Problem]:
    value, span = _at(root, fault), root.of(*fault.path)
    least, most = fault.schema.get("minItems"), fault.schema.get("maxItems")
    said = (
        f"{least}"
        if least == most
        else f"at least {least}"
        if fault.keyword == "minItems"
        else f"at most {most}"
    )
    noun = "item" if said.endswith(" 1") else "items"
    what = f"{_name(fault)} should hold {said} {noun}, and holds {len(value.items())}"
    return [Problem(span, WRONG_KIND, what)]


def _twice(root: Place, fault: Fault) -> list[Problem]:
    seen: set[str] = set()
    problems = []
    for item in _at(root, fault).items():
        if isinstance(item.data, str) and item.data in seen:
            problems.append(
                Problem(item.span, DUPLICATE_ID, f"{item.data!r} is listed twice", "take one out")
            )
        elif isinstance(item.data, str):
            seen.add(item.data)
    return problems


_EXPLAINERS: Final[Mapping[str, Callable[[Place, Fault], Sequence[Problem]]]] = {
    "required": _missing,
    "additionalProperties": _unknown,
    "const": _wrong_format,
    "type": _wrong_kind,
    "enum": _unknown_word,
    "pattern": _malformed,
    "maxLength": _malformed,
    "minLength": _empty,
    "minimum": _impossible,
    "maximum": _impossible,
    "exclusiveMinimum": _impossible,
    "exclusiveMaximum": _impossible,
    "minItems": _wrong_count,
    "maxItems": _wrong_count,
    "uniqueItems": _twice,
    REFUSED: _misplaced,
}
"""What explains a fault, by the keyword of the schema that refused."""
