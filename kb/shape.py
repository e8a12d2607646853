"""Whether a document has the shape of a ruleset.

The schema's faults become problems at the key or the value that is meant (`kb.explained` finds
the words). What is at fault is then cut out, so that the rest can still be built and checked: an
author should learn of all their slips in one run.
"""

from dataclasses import dataclass
from typing import Final

from kb.ids import ENTRY_SECTIONS
from kb.nearest import nearest
from kb.problem import Problem
from kb.schema import Fault, Plain, faults
from kb.schema.accept import accepts
from kb.text import Span
from kb.value import Items, Pair, Pairs, Place, Value

Path = tuple[str | int, ...]


_HARMLESS: Final = frozenset(
    {
        "title",
        "ask",
        "do",
        "why",
        "help",
        "too_far",
        "caution",
        "minutes",
        "goal",
        "worth",
        "about",
        "by",
        "undo",
        "how_common",
        "leak",
        "at_most",
        "from_sitting",
        "counts_from_sitting",
        "hours",
        "limits",
        "target",
        "precision",
        "tolerance",
        "at",
        "note",
        "dynamic",
        "never",
        "partly",
        "fully",
        "cuts",
        "clear_below",
        "slightly",
        "language",
        "instrument",
        "blades",
        "licence",
        "version",
        "canebrake",
        "unit",
        "hazard",
        "polygon",
        "kind",
        "author",
        "year",
        "url",
    }
)
"""Keys that link nothing: what was written under them may be lost and links still be counted."""

_LINKS: Final = frozenset({"shows", "cures", "priority", "stop"})
"""Keys that link entries, or make a step of a chart, and that an entry must have."""

_CHANCES: Final = frozenset({"shows", "cures", "provokes"})
"""Keys whose values are chances by id: with a chance cut out, the id still stands there."""

_NAMED: Final = 20
"""Unknown keys of one mapping that are compared with the known ones, which takes its time."""

_MOST: Final = 500
"""Faults of shape that are told: with more, it is another kind of file, and nothing is built of it."""

_KEPT: Final = frozenset({"required", "uniqueItems"})
"""Keywords of faults that leave nothing to cut out."""


@dataclass(frozen=True, slots=True)
class Shaped:
    """A document with nothing (null) in place of what has not the right shape, and why."""

    tree: Value | None
    problems: tuple[Problem, ...]
    lost_links: bool
    """Whether something was cut out that may have linked entries: then nothing may be concluded
    from a link that is not there."""


def check_shape(tree: Value, already: frozenset[Span] = frozenset()) -> Shaped:
    """Compare a document with the schema. What stands at a place in `already` was told before."""
    if accepts(tree):
        return Shaped(tree, (), lost_links=False)
    from kb import explained  # noqa: PLC0415  (wording, needed only for a file at fault)

    problems: list[Problem] = []
    cut: set[Path] = set()
    strange: set[Path] = set()
    lost = False
    root = Place(tree.span, tree)
    found = faults(_plain(tree))
    for fault in found[:_MOST]:
        problems += [problem for problem in explained.explain(root, fault) if problem.span not in already]
        if fault.keyword == "additionalProperties":
            strange |= {(*fault.path, pair.key) for pair in explained.strangers(root, fault)}
        elif fault.keyword not in _KEPT:
            cut.add(fault.path)
        absent = explained.absent(root, fault) if fault.keyword == "required" else ()
        lost = lost or not _LINKS.isdisjoint(absent) or _may_link(root, fault)
    if len(found) > _MOST and problems:
        problems.append(explained.and_more(problems[-1], len(found) - _MOST))
    if () in cut or len(found) > _MOST:
        return Shaped(None, tuple(problems), lost_links=True)
    return Shaped(_cut(tree, frozenset(cut), frozenset(strange)), tuple(problems), lost_links=lost)


def _may_link(root: Place, fault: Fault) -> bool:
    """Whether what a fault cuts out may have linked entries.

    A chance that cannot be leaves its link, and an unknown key is harmless when no other key than
    a harmless one can have been meant.
    """
    from kb import explained  # noqa: PLC0415  (loaded by now)

    if fault.keyword == "additionalProperties" and "patternProperties" not in fault.schema:
        known: dict[str, object] = fault.schema.get("properties", {})
        found = explained.strangers(root, fault)
        if len(found) > _NAMED:
            return True
        meant = {nearest(pair.key.replace("-", "_"), known) for pair in found}
        return not meant <= _HARMLESS | {""}
    if len(fault.path) > 1 and fault.path[-2] in _CHANCES:
        return False
    return fault.keyword not in _KEPT and (not fault.path or fault.path[-1] not in _HARMLESS)


def _plain(value: Value) -> Plain:
    """Give the document without places, as the schema's libraries want it."""
    if isinstance(value.data, Pairs):
        return {pair.key: _plain(pair.value) for pair in value.data}
    if isinstance(value.data, Items):
        return [_plain(item) for item in value.data.items]
    return value.data


def _cut(value: Value, cut: frozenset[Path], strange: frozenset[Path], path: Path = ()) -> Value:
    """Give the document with nothing in place of what is at fault, and without its strange keys.

    An entry whose id is malformed stays known by it, so that a link to it is not told as well.
    """
    if path in cut:
        return Value(None, value.span)
    if isinstance(value.data, Items):
        items = enumerate(value.data.items)
        return Value(Items(tuple(_cut(item, cut, strange, (*path, at)) for at, item in items)), value.span)
    if not isinstance(value.data, Pairs):
        return value
    pairs = []
    for pair in value.data:
        here = (*path, pair.key)
        if here not in strange:
            pairs.append(Pair(pair.key, pair.key_span, _cut(pair.value, cut, strange, here)))
        elif len(here) == 2 and path[0] in ENTRY_SECTIONS:
            pairs.append(Pair(pair.key, pair.key_span, Value(None, pair.value.span)))
    return Value(Pairs(tuple(pairs)), value.span)
