"""What `compare` says of entries and keys: as text that wraps, and for programs."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from typing import Final

from kb.compare.changes import Comparison, EntryChange, KeyChange, What
from kb.compare.said import Said, Section
from kb.model import Ruleset
from kb.text import NOWHERE, Span
from tui.cli.saying import Json
from tui.draw.cells import hung

HEADINGS: Final = {
    Section.HEAD: "The ruleset as a whole",
    Section.WORDS: "Words of chance",
    Section.PRIORITIES: "Priorities",
    Section.SYMPTOMS: "Symptoms",
    Section.SIGNS: "Signs",
    Section.CAUSES: "Causes",
    Section.REMEDIES: "Remedies",
    Section.RESTS: "Rests",
    Section.QUANTITIES: "Quantities",
    Section.THICKNESS: "Thickness",
    Section.TOOLS: "Tools",
    Section.ZONES: "Zones",
    Section.SOURCES: "Sources",
    Section.CHARTS: "Charts",
    Section.TRIALS: "Trials",
    Section.GLOSSARY: "Glossary",
}
_NAMED: Final = 6
"""Entries named in one sentence."""
_SHOWN: Final = (("title",), ("ask",))
"""Keys of a new entry that its first line says already."""


@dataclass(frozen=True, slots=True)
class Side:
    """One of the two rulesets, as the user named it."""

    said: str
    ruleset: Ruleset


def comparison_lines(before: Side, after: Side, found: Comparison, width: int) -> Iterator[str]:
    """Tell what differs, section by section."""
    for letter, side in (("A", before), ("B", after)):
        ruleset = side.ruleset
        named = f"{ruleset.title} ({ruleset.id} {ruleset.version})"
        yield from hung(f"{letter}: {side.said}: {named}", width)
    if found.is_same:
        yield "They mean the same."
        return
    for section, entries in groupby(found.entries, key=lambda one: one.section):
        yield ""
        yield from hung(HEADINGS[section], width)
        for entry in entries:
            yield from _entry(entry, width)
    yield ""
    yield from hung(_sum(found), width)


def _entry(entry: EntryChange, width: int) -> Iterator[str]:
    if entry.section is Section.HEAD:
        for key in entry.keys:
            yield from hung(f"  {_key(key)}", width)
        return
    if entry.section in {Section.WORDS, Section.GLOSSARY}:
        said = "; ".join(_key(key, is_new=True).removeprefix(": ") for key in entry.keys)
        yield from hung(f"  {_called(entry)}: {said}{_users(entry)}".rstrip(": "), width)
        return
    title = f": {entry.title}" if entry.title else ""
    yield from hung(f"  {_called(entry)}{title}", width)
    for key in entry.keys:
        if not _is_said(entry, key):
            yield from hung(f"    {_key(key, is_new=entry.what is What.ADDED)}", width)


def _is_said(entry: EntryChange, key: KeyChange) -> bool:
    """Whether the first line of a new entry says this key already."""
    new = entry.what is What.ADDED and key.after is not None
    return new and key.key in _SHOWN and key.after is not None and key.after.means == entry.title


def _called(entry: EntryChange) -> str:
    name = f"“{entry.id}”" if entry.section is Section.TRIALS else entry.id
    return f"renamed {entry.old_id} → {name}" if entry.what is What.RENAMED else f"{entry.what} {name}"


def _key(key: KeyChange, *, is_new: bool = False) -> str:
    if key.after is None:
        said = f"{'' if key.before is None else key.before.words} → no longer"
    elif key.before is None:
        said = key.after.words if is_new else f"new, {key.after.words}"
    else:
        said = f"{key.before.words} → {key.after.words}"
    return f"{' '.join(key.key)}: {said}"


def _users(entry: EntryChange) -> str:
    if not entry.used_by:
        return ""
    named = ", ".join(entry.used_by[:_NAMED])
    left = len(entry.used_by) - _NAMED
    return f" (it stands at {named}{f' and {left} more' if left > 0 else ''})"


def _sum(found: Comparison) -> str:
    counts = [(what, sum(one.what is what for one in found.entries)) for what in What]
    said = ", ".join(f"{count} {what}" for what, count in counts if count)
    entries = "1 entry differs" if len(found.entries) == 1 else f"{len(found.entries)} entries differ"
    return f"{entries}: {said}."


def comparison_json(before: Side, after: Side, found: Comparison) -> dict[str, Json]:
    """Give the same for programs."""
    return {
        "a": _side_json(before),
        "b": _side_json(after),
        "same": found.is_same,
        "changes": [
            {
                "what": one.what.value,
                "section": one.section.value,
                "id": one.id or None,
                "old_id": one.old_id or None,
                "title": one.title,
                "keys": [_key_json(key) for key in one.keys],
                "used_by": list(one.used_by),
            }
            for one in found.entries
        ],
    }


def _side_json(side: Side) -> Json:
    one = side.ruleset
    return {"said": side.said, "id": one.id, "version": one.version, "title": one.title}


def _key_json(key: KeyChange) -> Json:
    return {
        "key": list(key.key),
        **_end("before", key.before, key.before_span),
        **_end("after", key.after, key.after_span),
    }


def _end(name: str, said: Said | None, span: Span) -> dict[str, Json]:
    at: Json = {"file": span.file, "line": span.line, "column": span.column}
    return {
        name: None if said is None else _plain(said.means),
        f"{name}_words": None if said is None else said.words,
        f"{name}_at": None if said is None or span == NOWHERE else at,
    }


def _plain(means: object) -> Json:
    if isinstance(means, tuple):
        return [_plain(item) for item in means]
    return means if isinstance(means, str | int | float) or means is None else str(means)
