"""What an entry of each section may say, read off the schema: for forms, which ask key by key.

Nothing is said twice: titles, explanations, choices and what is required come from `ruleset.json`.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from typing import Any, Final, cast

from kb.schema import Schema, schema


class Form(StrEnum):
    """How a key is filled in."""

    TEXT = "text"
    WORD = "word"
    """A number, a word of chance, an id, true or false: one plain scalar."""
    CHOICE = "choice"
    LIST = "list"
    """Ids or texts one after the other."""
    PAIRS = "pairs"
    """Ids, each with a chance."""
    WHOLE = "whole"
    """Something with parts of its own, as the file writes it on one line."""


@dataclass(frozen=True, slots=True)
class Field:
    """One key of an entry."""

    key: str
    title: str
    says: str
    """What belongs there, as the schema explains it."""
    form: Form
    is_required: bool = False
    choices: tuple[str, ...] = ()


_LISTS: Final = frozenset({"priorities", "trials"})
"""Sections whose entries stand in a list and bear their id, if any, inside."""


@cache
def fields(section: str) -> tuple[Field, ...]:
    """Give the keys of an entry of `section`, required ones first; none where entries are single values."""
    part = cast("Mapping[str, Any]", schema()["properties"].get(section, {}))
    if section in _LISTS:
        entry = _resolved(part["items"])
    else:
        entry = _resolved(next(iter(part.get("patternProperties", {}).values()), {}))
    required = frozenset(entry.get("required", ()))
    found = (_field(key, says, key in required) for key, says in entry.get("properties", {}).items())
    return tuple(sorted(found, key=lambda field: not field.is_required))


def _field(key: str, says: Schema, is_required: bool) -> Field:  # noqa: FBT001 - one call
    whole = _resolved(says)
    choices = tuple(str(one) for one in whole.get("enum", ()))
    title, explained = str(whole.get("title", key)), str(whole.get("description", ""))
    return Field(key, title, explained, _form(whole), is_required, choices)


def _form(whole: Schema) -> Form:
    if "enum" in whole:
        return Form.CHOICE
    match whole.get("type"):
        case "string":
            # An id is short and has a pattern of its own; other texts may hold anything visible.
            return Form.TEXT if whole.get("pattern", r"\S") == r"\S" else Form.WORD
        case "array" if _resolved(whole.get("items", {})).get("type") == "string":
            return Form.LIST
        case "object" if "patternProperties" in whole:
            inner = _resolved(next(iter(whole["patternProperties"].values())))
            return Form.WHOLE if inner.get("type") == "object" else Form.PAIRS
        case "array" | "object":
            return Form.WHOLE
        case _:
            return Form.WORD


def _resolved(part: Schema) -> Schema:
    """Follow a reference; what stands beside it counts more."""
    while "$ref" in part:
        name = str(part["$ref"]).removeprefix("#/$defs/")
        part = {**schema()["$defs"][name], **{key: value for key, value in part.items() if key != "$ref"}}
    return part
