"""A ruleset begun from another: a thin layer over it, or the whole of it in one file.

The whole is made by edits to the text of the lowest base, so that its comments stay; entries that a
layer wrote come over as that layer wrote them. What comes out is compared with what the layers
meant, and refused if it means anything else.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from kb.bases import Resolver
from kb.edit.draft import CANNOT_EDIT, NEW_FILE, Draft
from kb.edit.made import in_order_of, put, same, scalar
from kb.edit.slices import entry_text, number_of, with_entry_text
from kb.edit.verbs import LIST_SECTIONS, changed
from kb.edit.writing import in_flow, text_of
from kb.extends import with_bases
from kb.ids import ENTRY_SECTIONS
from kb.model import Ruleset
from kb.problem import Problem, in_order
from kb.source import read
from kb.text import SourceText, whole_file
from kb.value import Items, Pairs, Value

FIRST_VERSION: Final = "0.1.0"


@dataclass(frozen=True, slots=True)
class Begun:
    """What a new ruleset is called, and what it begins from."""

    id: str
    title: str
    base: Ruleset


def layer_text(begun: Begun, extends: Value, file: str) -> str:
    """Write a thin layer; `extends` says where its base is found, `file` what the layer will be called."""
    base = begun.base
    cause = base.causes[0].id if base.causes else "ID-OF-A-CAUSE"
    remedy = base.operations[0].id if base.operations else "ID-OF-A-REMEDY"
    finding = base.findings[0].id if base.findings else "ID-OF-A-SYMPTOM"
    return f"""\
# {_on_a_line(begun.title)}
#
# A layer over {base.id} {base.version} ({_on_a_line(base.title)}).
# What is not written here stays as it is there, and follows it when it is mended. After a change:
#   canebrake check {_on_a_line(file)}            what is wrong, at its line and column
#   canebrake compare {base.id} {_on_a_line(file)}    what differs from the base
canebrake: 1
id: {begun.id}
title: {text_of(begun.title, flow=False)}
version: "{FIRST_VERSION}"
language: {text_of(base.language, flow=False)}
extends: {in_flow(extends)}

# Take the # away from what you want; the rest may go.
#
# Your own source, for what you change:
# sources:
#   studio: {{title: What we do in our studio, kind: common practice}}
#
# Change an entry: only the keys written here change, and null takes one out. Or add one of your own:
# causes:
#   {cause}:
#     how_common: rare
#     sources: [studio]
#   my-cause:
#     title: What I have seen besides
#     how_common: rare
#     shows: {{{finding}: sometimes}}
#     sources: [studio]
#
# Take entries out, with every link to them:
# withdraw: [{remedy}]
#
# Add a worked case. Those of the base are run as well.
# trials:
#   - title: My case
#     given: {{{finding}: yes}}
#     expect: {{cause: my-cause}}
"""


def flat(source: SourceText, base: Resolver, begun: Begun) -> Draft | Problem:
    """Give the whole of a ruleset with all that it stands on as one draft, called as `begun` says."""
    top = read(source)
    if top.tree is None or top.problems:
        return in_order(top.problems)[0]
    whole = with_bases(top.tree, source, base)
    if whole.tree is None or whole.problems:
        return in_order(whole.problems)[0]
    drafts = [Draft.of(text.name, text.text.encode(), seen=NEW_FILE) for text in whole.texts]
    lowest = drafts[-1]
    meant = _without_layers(whole.tree)
    result: Draft | Problem = lowest
    for layer in reversed(drafts[:-1]):
        if isinstance(result, Draft) and isinstance(layer, Draft):
            result = _with_entries_of(layer, result, meant)
    for key, value in (("id", begun.id), ("title", begun.title), ("version", FIRST_VERSION)):
        meant = put(meant, (key,), scalar(value))
    if isinstance(result, Draft):
        result = changed(result, (), meant)
    if isinstance(result, Draft) and not alike(result.tree, meant):
        return Problem(whole_file(source.name), CANNOT_EDIT, "the layers could not be put into one file")
    return result


def _on_a_line(text: str) -> str:
    return " ".join(text.split())


def _without_layers(tree: Value) -> Value:
    kept = tuple(pair for pair in tree.pairs() if pair.key not in {"extends", "withdraw"})
    return Value(Pairs(kept), tree.span)


def _with_entries_of(layer: Draft, into: Draft, meant: Value) -> Draft:
    """Carry over the entries that a layer wrote and that stand as it wrote them, with their comments."""
    for section in layer.tree.pairs():
        if section.key not in ENTRY_SECTIONS | LIST_SECTIONS:
            continue
        for name, value in _named(section.value):
            after = _entry(meant, section.key, name)
            text = entry_text(layer, section.key, name)
            is_new = section.key != "trials" or number_of(into, section.key, name) is None
            if after is None or not alike(after, value) or isinstance(text, Problem) or not is_new:
                continue
            result = with_entry_text(into, section.key, name, text)
            into = result if isinstance(result, Draft) else into  # then it is written from its meaning
    return into


def _named(section: Value) -> Sequence[tuple[str, Value]]:
    if isinstance(section.data, Items):
        named = ((item.get("id") or item.get("title"), item) for item in section.data.items)
        return [(str(name.data), item) for name, item in named if name is not None]
    return [(pair.key, pair.value) for pair in section.pairs()]


def _entry(tree: Value, section: str, name: str) -> Value | None:
    found = tree.get(section)
    return None if found is None else dict(_named(found)).get(name)


def alike(one: Value, other: Value) -> bool:
    """Whether two values mean the same to a ruleset, for which the order of keys says nothing."""
    return same(one, in_order_of(one, other))
