"""Where a ruleset speaks of an entry: its id as a key, and every place that refers to it.

Separate from `kb.build`, which resolves references to build a ruleset: here the places alone are
wanted, also in a document that has faults or is a layer over another.
"""

from collections.abc import Iterator
from typing import Final, NamedTuple

from kb.naming import SECTIONS, Kind
from kb.text import Span
from kb.value import Pair, Value


class Mention(NamedTuple):
    """One place at which an id is written."""

    kind: Kind
    id: str
    span: Span


_KEYS: Final = {
    "shows": Kind.FINDING,
    "cures": Kind.CAUSE,
    "provokes": Kind.CAUSE,
    "given": Kind.FINDING,
    "measure": Kind.QUANTITY,
}
"""Keys under which the keys of a mapping are ids."""

_TEXTS: Final = {
    "recheck": Kind.FINDING,
    "unless": Kind.FINDING,
    "after": Kind.OPERATION,
    "sources": Kind.SOURCE,
    "zone": Kind.ZONE,
    "tool": Kind.TOOL,
    "priority": Kind.PRIORITY,
    "then": Kind.OPERATION,
    "cause": Kind.CAUSE,
    "source": Kind.SOURCE,
    "quantity": Kind.QUANTITY,
    "thickness": Kind.PROFILE,
}
"""Keys whose text, or texts, are ids."""

_MIXED: Final = (Kind.FINDING, Kind.OPERATION)
"""What a step that a trial expects may be: a question or an operation. These share one set of ids."""


def mentions(tree: Value) -> Iterator[Mention]:
    """Give every place at which the document writes an id, declared or referred to."""
    for section, kind, _ in SECTIONS:
        for pair in _pairs(tree, section):
            yield Mention(kind, pair.key, pair.key_span)
            if section == "charts":
                yield from _of_chart(pair.value)
            elif section not in {"sources", "zones", "tools", "quantities", "thickness"}:
                yield from _of_entry(pair.value)
    for item in _items(tree, "priorities"):
        yield from _texts(item.get("id"), Kind.PRIORITY)
    yield from _texts(tree.get("opening"), Kind.FINDING)
    for trial in _items(tree, "trials"):
        yield from _of_trial(trial)
    for kind in Kind:  # an entry of any kind may be withdrawn
        yield from _texts(tree.get("withdraw"), kind)


def _of_entry(entry: Value) -> Iterator[Mention]:
    for pair in entry.pairs():
        if pair.key in _KEYS:
            for link in pair.value.pairs():
                yield Mention(_KEYS[pair.key], link.key, link.key_span)
        elif pair.key in _TEXTS:
            yield from _texts(pair.value, _TEXTS[pair.key])
        elif pair.key == "read":
            yield from _of_entry(pair.value)
        elif pair.key == "differs":
            for item in pair.value.items():
                yield from _of_entry(item)


def _of_chart(chart: Value) -> Iterator[Mention]:
    for step in _pairs(chart, "steps"):
        yield from _texts(step.value.get("ask"), Kind.FINDING)
        yield from _texts(step.value.get("do"), Kind.OPERATION)


def _of_trial(trial: Value) -> Iterator[Mention]:
    yield from _of_entry(trial)
    for one in _items(trial, "rounds"):
        yield from _of_entry(one)
    expect = trial.get("expect")
    if expect is not None:
        yield from _of_entry(expect)
        for key in ("step", "not_step"):
            for kind in _MIXED:
                yield from _texts(expect.get(key), kind)


def _texts(value: Value | None, kind: Kind) -> Iterator[Mention]:
    """Give the id, or the ids, that a text or a list of texts names."""
    for item in value.items() if value is not None else ():
        if isinstance(item.data, str):
            yield Mention(kind, item.data, item.span)


def _pairs(value: Value, key: str) -> tuple[Pair, ...]:
    under = value.get(key)
    return () if under is None else under.pairs()


def _items(value: Value, key: str) -> tuple[Value, ...]:
    under = value.get(key)
    return () if under is None else under.items()
