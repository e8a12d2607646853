"""A ruleset as JSON, and back: what the cache keeps. Places are left out; all else comes back equal.

Each value of the model is a row of its fields, in their order; where one of several classes may stand,
the row begins with the class's name. How a row is read follows from the model's own types, so that a new
field needs nothing here, and a text of another shape is refused whole.
"""

import json
from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass
from enum import Enum
from functools import cache
from types import NoneType, UnionType
from typing import Any, Final, Union, cast, get_args, get_origin, get_type_hints

from kb.model import AskStep, DoStep, QuantityRead, Ruleset, StopStep, ThicknessRead

_Reading = Callable[[object], object]
"""Makes a value of the model out of what JSON holds. Raises ValueError when it is something else."""

_NAMED: Final = (AskStep, DoStep, StopStep, QuantityRead, ThicknessRead)
"""Classes that stand where another one might."""
_LEFT_OUT: Final = "place"
_UNIONS: Final = (UnionType, Union)
"""Python makes one of them of `X | Y`, depending on what X and Y are."""


def to_json(ruleset: Ruleset) -> str:
    """Give a ruleset as one line of JSON."""
    return json.dumps(ruleset, default=_row, ensure_ascii=False, separators=(",", ":"))


def from_json(text: str) -> Ruleset:
    """Give the ruleset back. Raises ValueError for anything that `to_json` did not write."""
    try:
        return cast("Ruleset", _reading(Ruleset)(json.loads(text)))
    except RecursionError as error:
        raise ValueError("nested too deep") from error


def _row(value: object) -> list[object]:
    row = [getattr(value, name) for name in _names(type(value))]
    return [type(value).__name__, *row] if isinstance(value, _NAMED) else row


def _names(kind: type[Any]) -> tuple[str, ...]:
    return tuple(one.name for one in fields(kind) if one.name != _LEFT_OUT)


@cache
def _reading(field: object) -> _Reading:
    """Give how values are read, given the type of a field of the model."""
    kind: Any = getattr(field, "__supertype__", field)
    parts = get_args(kind)
    if get_origin(kind) in _UNIONS:
        return _one_of(parts)
    if get_origin(kind) is tuple:
        return _many(_reading(parts[0])) if parts[-1] is Ellipsis else _these(tuple(map(_reading, parts)))
    if is_dataclass(kind):
        return _fields_of(cast("type", kind))
    if issubclass(kind, Enum):
        return cast("_Reading", kind)
    return _plain((int, float) if kind is float else (kind,))


def _plain(kinds: tuple[type, ...]) -> _Reading:
    def read(value: object) -> object:
        if type(value) in kinds:
            return value
        raise ValueError(f"{value!r} is none of {kinds}")

    return read


def _one_of(kinds: tuple[type, ...]) -> _Reading:
    """Read nothing as None, a row that begins with a class's name as that class, all else as the one kind."""
    named: Mapping[object, _Reading] = {kind.__name__: _reading(kind) for kind in kinds if kind in _NAMED}
    alone = None if named else next(_reading(kind) for kind in kinds if kind is not NoneType)

    def read(value: object) -> object:
        if value is None and NoneType in kinds:
            return None
        if alone is not None:
            return alone(value)
        name, *row = _listed(value)
        if type(name) is not str or name not in named:
            raise ValueError(f"{name!r} names no class that may stand here")
        return named[name](row)

    return read


def _many(each: _Reading) -> _Reading:
    return lambda value: tuple(map(each, _listed(value)))


def _these(each: tuple[_Reading, ...]) -> _Reading:
    return lambda value: tuple(read(one) for read, one in zip(each, _listed(value), strict=True))


def _fields_of(kind: type) -> _Reading:
    types = get_type_hints(kind)
    each = tuple(_reading(types[name]) for name in _names(kind))
    return lambda value: kind(*[read(one) for read, one in zip(each, _listed(value), strict=True)])


def _listed(value: object) -> list[object]:
    if type(value) is not list:
        raise ValueError(f"{value!r} is no list")
    return value
