"""The schema of format 1, and one adapter over the libraries that apply it.

`ruleset.json` is JSON Schema 2020-12 and is also what editors complete from. Two libraries can
apply it: jsonschema-rs, which is quick, and jsonschema, the reference, where the first has no
wheel. They name and place faults differently; from here on a fault has one form.

A sound file needs neither: `kb.schema.accept` sees that with a walk over the values, and only a
file that it does not accept pays for loading a library that can say what is wrong.
"""

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Final, cast

Schema = Mapping[str, Any]
"""A part of the schema, as JSON gives it. Stays inside this package and `kb.shape`."""

Plain = dict[str, "Plain"] | list["Plain"] | str | int | float | bool | None
"""A document as the libraries want it: without places."""

REFUSED: Final = "not"
"""The keyword of a fault that lies in a key being there at all. The schema says `not: {}` there, and
not `false`, because jsonschema forgets the place of what `false` refuses."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One way in which a document does not follow the schema."""

    path: tuple[str | int, ...]
    """Keys and list positions from the top of the document to the value at fault."""
    keyword: str
    """The keyword of JSON Schema that refuses it."""
    schema: Schema
    """The part of the schema that holds the keyword."""


@cache
def text() -> str:
    """Give the schema as it stands in its file, for editors."""
    return Path(__file__).with_name("ruleset.json").read_text(encoding="utf-8")


@cache
def schema() -> Schema:
    """Give the schema, read."""
    return cast("Schema", json.loads(text()))


@cache
def sections() -> tuple[str, ...]:
    """List the keys at the top of a ruleset, in the order in which the format tells them."""
    return tuple(schema()["properties"])


def faults(document: Plain) -> tuple[Fault, ...]:
    """List how a document departs from the schema, in no promised order."""
    return _judge()(document)


@cache
def _judge() -> Callable[[Plain], tuple[Fault, ...]]:
    try:
        return quick()
    except ImportError:  # pragma: no cover  (only where jsonschema-rs has no wheel)
        return reference()


def quick() -> Callable[[Plain], tuple[Fault, ...]]:
    """Make a judge of jsonschema-rs. Raises ImportError where it is not installed."""
    import jsonschema_rs  # noqa: PLC0415  (18 ms, needed only for files at fault)

    root = schema()
    validator = jsonschema_rs.Draft202012Validator(dict(root))

    def judge(document: Plain) -> tuple[Fault, ...]:
        found = []
        for error in validator.iter_errors(document):
            where = error.schema_path
            found.append(Fault(tuple(error.instance_path), str(where[-1]), _part(root, where[:-1])))
        return tuple(found)

    return judge


def reference() -> Callable[[Plain], tuple[Fault, ...]]:
    """Make a judge of jsonschema, the reference. Raises ImportError where it is not installed."""
    import jsonschema  # noqa: PLC0415  (60 ms, needed only where the quick one is missing, and in tests)

    validator = jsonschema.Draft202012Validator(schema())

    def judge(document: Plain) -> tuple[Fault, ...]:
        return tuple(
            Fault(tuple(error.absolute_path), error.validator, error.schema)
            for error in validator.iter_errors(document)
        )

    return judge


def _part(root: Schema, where: list[str | int]) -> Schema:
    part: Any = root
    for step in where:
        part = part[step]
    return cast("Schema", part)
