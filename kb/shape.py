"""Whether a document has the shape of a ruleset, said in the words of someone who writes rules.

The schema's faults become problems here: at the key or the value that is meant, with what to do
about it. What is at fault is then cut out, so that the rest can still be built and checked: an
author should learn of all their slips in one run.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from kb.ids import is_well_formed
from kb.nearest import hint
from kb.problem import CheckName, Problem
from kb.schema import REFUSED, Fault, Plain, faults
from kb.schema.accept import accepts
from kb.text import Span
from kb.value import Items, Pair, Pairs, Place, Value

MISSING_KEY: Final = CheckName("missing-key")
UNKNOWN_KEY: Final = CheckName("unknown-key")
WRONG_KIND: Final = CheckName("wrong-kind")
UNKNOWN_WORD: Final = CheckName("unknown-word")
MALFORMED_ID: Final = CheckName("malformed-id")
DUPLICATE_ID: Final = CheckName("duplicate-id")
EMPTY_TEXT: Final = CheckName("empty-text")
TOO_BIG: Final = CheckName("too-big")
IMPOSSIBLE_NUMBER: Final = CheckName("impossible-number")
WRONG_FORMAT_NUMBER: Final = CheckName("wrong-format-number")
UNQUOTED_VERSION: Final = CheckName("unquoted-version")
MISPLACED_KEY: Final = CheckName("misplaced-key")

Path = tuple[str | int, ...]

_LINKS: Final = frozenset({"shows", "cures", "provokes", "priority", "read", "start", "steps", "allow", "recheck"})


@dataclass(frozen=True, slots=True)
class Shaped:
    """A document cut down to what has the right shape, and the problems of the rest."""

    tree: Value | None
    problems: tuple[Problem, ...]
    lost_links: bool
    """Whether something was cut out that may have linked entries: then nothing may be concluded
    from a link that is not there."""


def check_shape(tree: Value, already: frozenset[Span] = frozenset()) -> Shaped:
    """Compare a document with the schema. What stands at a place in `already` was told before."""
    if accepts(tree):
        return Shaped(tree, (), lost_links=False)
    problems: list[Problem] = []
    cut: dict[Path, bool] = {}
    root = Place(tree.span, tree)
    for fault in faults(_plain(tree)):
        found = tuple(_explained(root, fault))
        if fault.keyword not in {"required", "minProperties", "uniqueItems"}:
            cut |= dict.fromkeys(_blamed(root, fault), fault.keyword == "additionalProperties")
        problems += [problem for problem in found if problem.span not in already]
    if () in cut:
        return Shaped(None, tuple(problems), lost_links=True)
    lost = any(_may_link(path) for path in cut) or any(p.check == MISSING_KEY for p in problems)
    return Shaped(_cut(tree, set(cut), ()), tuple(problems), lost_links=lost)


def _may_link(path: Path) -> bool:
    return len(path) <= 2 or path[-1] not in {"title", "minutes"} and bool(_LINKS & set(path)) or len(path) == 3


def _plain(value: Value) -> Plain:
    """Give the document without places, as the schema's libraries want it."""
    if isinstance(value.data, Pairs):
        return {pair.key: _plain(pair.value) for pair in value.data}
    if isinstance(value.data, Items):
        return [_plain(item) for item in value.data.items]
    return value.data


def _blamed(root: Place, fault: Fault) -> tuple[Path, ...]:
    """Give the paths of what has to be cut out because of a fault."""
    if fault.keyword == "additionalProperties":
        return tuple((*fault.path, pair.key) for pair in _extra(root, fault))
    return (fault.path,)


def _at(root: Place, path: Path) -> Value:
    value = root.value
    for part in path:
        value = value.items()[part] if isinstance(part, int) else value[part]
    return value


def _cut(value: Value, cut: set[Path], path: Path) -> Value:
    """Give the document without what is at fault; an entry of a section stays known by its id."""
    if isinstance(value.data, Items):
        items = enumerate(value.data.items)
        return Value(
            Items(tuple(_cut(item, cut, (*path, at)) for at, item in items if (*path, at) not in cut)), value.span
        )
    if not isinstance(value.data, Pairs):
        return value
    pairs = []
    for pair in value.data:
        here = (*path, pair.key)
        if here not in cut:
            pairs.append(Pair(pair.key, pair.key_span, _cut(pair.value, cut, here)))
        elif len(here) == 2 and path[0] in _ENTRIES:
            pairs.append(Pair(pair.key, pair.key_span, Value(Pairs(()), pair.value.span)))
    return Value(Pairs(tuple(pairs)), value.span)


_ENTRIES: Final = frozenset(
    {"symptoms", "signs", "causes", "remedies", "rests", "quantities", "tools", "zones", "sources", "thickness", "charts"}
)


def _explained(root: Place, fault: Fault) -> "tuple[Problem, ...] | list[Problem]":
    """Make problems of one fault."""
    span = root.of(*fault.path)
    name = str(fault.path[-1]) if fault.path else "this file"
    match fault.keyword:
        case "required":
            return _missing(root, fault)
        case "additionalProperties":
            return _unknown(root, fault)
        case "const":
            return [_wrong_format(span, _at(root, fault.path))]
        case "type":
            return [_wrong_kind(root, fault, name)]
        case "enum":
            return [_unknown_word(root, fault)]
        case "pattern" | "maxLength":
            return [_malformed(root, fault)]
        case "minLength":
            return [Problem(span, EMPTY_TEXT, "nothing is written between these quotes", f"write it, or take {name} out")]
        case "minimum" | "maximum" | "exclusiveMinimum" | "exclusiveMaximum":
            return [_impossible(root, fault)]
        case "minItems" | "maxItems":
            return [_wrong_count(root, fault, name)]
        case "uniqueItems":
            return _twice(root, fault)
        case keyword if keyword == REFUSED:
            where = root.key_of(*fault.path)
            return [Problem(where, MISPLACED_KEY, f"{name!r} does not go with the other keys here", _belongs(fault.path))]
        case "minProperties":
            return [Problem(span, MISSING_KEY, f"{name} says nothing", "write cause, step, not_step or priority")]
        case _:
            return [Problem(span, TOO_BIG, f"{name} holds more than it may", "make it shorter")]


def _belongs(path: Path) -> str:
    if path[:1] == ("extends",):
        return "name a file, or an id and a version"
    if "read" in path:
        return "a reading is of a quantity, or of a thickness with lane and between"
    return "a step asks (yes, no, slightly, unsure), does (then) or stops"


def _missing(root: Place, fault: Fault) -> list[Problem]:
    value = _at(root, fault.path)
    what = _called(root, fault.path)
    if "stop" in fault.schema["required"]:
        return [Problem(_head(root, fault.path), MISSING_KEY, f"{what} does nothing", "write ask, do or stop")]
    problems = []
    for key in fault.schema["required"]:
        if value.get(key) is not None:
            continue
        if key == "canebrake" and not fault.path:
            problems.append(
                Problem(
                    _head(root, ()),
                    WRONG_FORMAT_NUMBER,
                    "this file does not say in which format it is written",
                    "a ruleset begins with canebrake: 1",
                )
            )
        else:
            problems.append(Problem(_head(root, fault.path), MISSING_KEY, f"{what} has no {key}", f"write {key}: …"))
    return problems


def _head(root: Place, path: Path) -> Span:
    """Give the span of the key that names a mapping; of a list item or a whole file, of its first key."""
    if path and isinstance(path[-1], str):
        return root.key_of(*path)
    value = _at(root, path)
    pairs = value.pairs()
    return pairs[0].key_span if pairs else value.span


def _called(root: Place, path: Path) -> str:
    """Call a mapping as its author would."""
    if not path:
        return "this ruleset"
    if isinstance(path[-1], str):
        return repr(path[-1])
    value = _at(root, path)
    for key in ("id", "title"):
        named = value.get(key)
        if named is not None and isinstance(named.data, str) and named.data:
            return repr(named.data)
    section = next((part for part in reversed(path) if isinstance(part, str)), "")
    ones = {"priorities": "priority", "differs": "entry"}
    return f"this {ones.get(section, section.removesuffix('s'))}"


def _extra(root: Place, fault: Fault) -> tuple[Pair, ...]:
    """Give the pairs that a closed mapping does not know."""
    known = fault.schema.get("properties", {})
    patterns = [re.compile(pattern) for pattern in fault.schema.get("patternProperties", {})]
    return tuple(
        pair
        for pair in _at(root, fault.path).pairs()
        if pair.key not in known and not any(pattern.search(pair.key) for pattern in patterns)
    )


def _unknown(root: Place, fault: Fault) -> list[Problem]:
    known: Mapping[str, Any] = fault.schema.get("properties", {})
    problems = []
    for pair in _extra(root, fault):
        if "patternProperties" in fault.schema:
            problems.append(_bad_id(pair.key_span, pair.key))
            continue
        meant = hint(pair.key.replace("-", "_"), known) or hint(pair.key, known)
        where = f"the keys here are {', '.join(known)}" if len(known) <= 12 else ""
        what = f"{pair.key!r} is no key of {_called(root, fault.path)}" if fault.path else f"{pair.key!r} is no key of a ruleset"
        problems.append(Problem(pair.key_span, UNKNOWN_KEY, what, meant or where))
    return problems


def _bad_id(span: Span, text: str) -> Problem:
    words = [part for part in "".join(c if c.isascii() and c.isalnum() else "-" for c in text.lower()).split("-") if part]
    better = "-".join(words)[:64].strip("-")
    hint = f"write {better!r}" if is_well_formed(better) else "an id begins with a letter"
    shape = "an id is small letters a-z and digits, in words joined by single hyphens"
    what = f"{text!r} cannot be an id" if len(text) <= 80 else "this id has more than 64 characters"
    return Problem(span, MALFORMED_ID, what, f"{hint}: {shape}")


def _wrong_format(span: Span, value: Value) -> Problem:
    if isinstance(value.data, int | float) and not isinstance(value.data, bool):
        return Problem(
            span,
            WRONG_FORMAT_NUMBER,
            f"this ruleset is written in format {value.data}, and this program reads format 1",
            "get a newer canebrake, or write canebrake: 1 if the file is in that format",
        )
    return Problem(span, WRONG_FORMAT_NUMBER, "the format is not a number", "write canebrake: 1")


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


def _short(text: str) -> str:
    return repr(text if len(text) <= 40 else text[:39] + "…")


def _wrong_kind(root: Place, fault: Fault, name: str) -> Problem:
    value, span = _at(root, fault.path), root.of(*fault.path)
    wanted = fault.schema["type"]
    kinds = [wanted] if isinstance(wanted, str) else wanted
    if name == "version" and isinstance(value.data, int | float):
        return Problem(
            span, UNQUOTED_VERSION, f"the version {value.data} is a number", f"write '{value.data}' in quotes"
        )
    if not fault.path:
        return Problem(span, WRONG_KIND, "this is no ruleset: it has no keys", "a ruleset begins with canebrake: 1")
    said = " or ".join(_KINDS[kind] for kind in kinds)
    if isinstance(fault.path[-1], int):
        name = "an item of this list"
    hint = ""
    if "string" in kinds and isinstance(value.data, int | float):
        hint = f"put it in quotes: '{value.data}'"
    if value.data is None:
        span = root.key_of(*fault.path)
        hint = f"write it, or take {name} out" if isinstance(fault.path[-1], str) else "take it out"
    return Problem(span, WRONG_KIND, f"{name} should be {said}, but {_kind(value)}", hint)


def _unknown_word(root: Place, fault: Fault) -> Problem:
    value, span = _at(root, fault.path), root.of(*fault.path)
    words = [str(word) for word in fault.schema["enum"]]
    if value.data is True and "yes" in words:
        meant = "write yes"
    elif value.data is False and "no" in words:
        meant = "write no"
    else:
        meant = hint(value.data, words) if isinstance(value.data, str) else ""
    if not isinstance(value.data, str):
        return Problem(span, WRONG_KIND, f"one of {', '.join(words)} should stand here, but {_kind(value)}", meant)
    return Problem(
        span, UNKNOWN_WORD, f"{_short(value.data)} is not a word for this", meant or f"write one of {', '.join(words)}"
    )


def _malformed(root: Place, fault: Fault) -> Problem:
    value, span = _at(root, fault.path), root.of(*fault.path)
    text = str(value.data)
    pattern = str(fault.schema.get("pattern", ""))
    if fault.keyword == "maxLength" and not pattern:
        return Problem(span, TOO_BIG, f"this text has more than {fault.schema['maxLength']} characters", "shorten it")
    if "target" in pattern:
        return Problem(span, UNKNOWN_WORD, f"{_short(text)} is not a word for this", "write a number, or target")
    if "A-Z" in pattern:
        return Problem(span, UNKNOWN_WORD, f"{_short(text)} is no language tag", "write one such as en, de or pt-BR")
    return _bad_id(span, text)


def _impossible(root: Place, fault: Fault) -> Problem:
    value, span = _at(root, fault.path), root.of(*fault.path)
    part = fault.schema
    low, high = part.get("minimum"), part.get("maximum")
    above, under = part.get("exclusiveMinimum"), part.get("exclusiveMaximum")
    ends = [
        f"above {above:g}" if above is not None else f"at least {low:g}" if low is not None else "",
        f"below {under:g}" if under is not None else f"at most {high:g}" if high is not None else "",
    ]
    said = " and ".join(end for end in ends if end)
    hint = "a chance is written as a part of 1: 0.3 and not 30" if high in {0.5, 1} else ""
    return Problem(span, IMPOSSIBLE_NUMBER, f"{value.data:g} must be {said}" if isinstance(value.data, int | float) else said, hint)


def _wrong_count(root: Place, fault: Fault, name: str) -> Problem:
    value, span = _at(root, fault.path), root.of(*fault.path)
    least, most = fault.schema.get("minItems"), fault.schema.get("maxItems")
    said = f"{least}" if least == most else f"at least {least}" if fault.keyword == "minItems" else f"at most {most}"
    if isinstance(fault.path[-1], int):
        name = "an item of this list"
    return Problem(span, WRONG_KIND, f"{name} should hold {said} items, and holds {len(value.items())}")


def _twice(root: Place, fault: Fault) -> list[Problem]:
    seen: set[Any] = set()
    problems = []
    for item in _at(root, fault.path).items():
        if isinstance(item.data, str) and item.data in seen:
            problems.append(Problem(item.span, DUPLICATE_ID, f"{item.data!r} is listed twice", "take one out"))
        if isinstance(item.data, str):
            seen.add(item.data)
    return problems
