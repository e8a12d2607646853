"""What changed in meaning between two rulesets: entries added, withdrawn, renamed, and keys changed.

A word of chance whose number changed in the `words` table changes every entry that uses it; that
is told once, at the word, with the places where it stands.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum

from kb.compare.meaning import meanings
from kb.compare.renames import renames
from kb.compare.said import Key, Meant, Renames, Said, Section
from kb.model import Ruleset
from kb.naming import SHARED, Kind
from kb.text import NOWHERE, Span


class What(StrEnum):
    """What happened to an entry."""

    ADDED = "added"
    WITHDRAWN = "withdrawn"
    RENAMED = "renamed"
    CHANGED = "changed"


@dataclass(frozen=True, slots=True)
class KeyChange:
    """One key of an entry that says something else; None where it says nothing."""

    key: Key
    before: Said | None
    after: Said | None
    before_span: Span = NOWHERE
    after_span: Span = NOWHERE


@dataclass(frozen=True, slots=True)
class EntryChange:
    """One entry that differs."""

    what: What
    section: Section
    """Where it stands in the second ruleset, or stood in the first."""
    id: str
    """In the second ruleset, or in the first if it is gone."""
    title: str
    keys: tuple[KeyChange, ...] = ()
    """What changed; of an entry that was added, all that it says beyond the usual."""
    old_id: str = ""
    """Of a renamed entry, what it was called."""
    used_by: tuple[str, ...] = ()
    """Of a word of chance, the entries that say it in both rulesets."""


@dataclass(frozen=True, slots=True)
class Comparison:
    """All that differs, by section, then in the file's order; and which names were taken for renamed."""

    entries: tuple[EntryChange, ...]
    renames: Renames

    @property
    def is_same(self) -> bool:
        """Whether the two rulesets mean the same."""
        return not self.entries

    @property
    def called_otherwise(self) -> Mapping[str, str]:
        """Old ids to new ones, of the kinds that answers, logs and rounds name: their ids are one set."""
        return {
            old: new for kind, pairs in self.renames.items() if kind in SHARED for old, new in pairs.items()
        }


def compare(before: Ruleset, after: Ruleset) -> Comparison:
    """Say what changed in meaning from `before` to `after`."""
    renamed = renames(before, after)
    called: Mapping[Kind | Section, Mapping[str, str]]
    called = {kind: {new: old for old, new in pairs.items()} for kind, pairs in renamed.items()}
    old, new = _by_place(meanings(before, renamed)), _by_place(meanings(after))
    users = _users(old, new)
    words = _changed_words(before, after)
    found = [_gone(one) for place, one in old.items() if place not in new]
    for place, one in new.items():
        earlier = old.get(place)
        if earlier is None:
            found.append(_come(one))
            continue
        was = called.get(place[0], {}).get(one.id, "")
        keys = tuple(_changed(earlier, one, words))
        if keys or was:
            what = What.RENAMED if was else What.CHANGED
            used = users.get(one.id, ()) if one.section is Section.WORDS else ()
            found.append(EntryChange(what, one.section, one.id, one.title, keys, was, used))
    sections = list(Section)
    return Comparison(tuple(sorted(found, key=lambda one: sections.index(one.section))), renamed)


_KINDS: Mapping[Section, Kind] = {
    Section.PRIORITIES: Kind.PRIORITY,
    Section.SYMPTOMS: Kind.FINDING,
    Section.SIGNS: Kind.FINDING,
    Section.CAUSES: Kind.CAUSE,
    Section.REMEDIES: Kind.OPERATION,
    Section.RESTS: Kind.OPERATION,
    Section.QUANTITIES: Kind.QUANTITY,
    Section.THICKNESS: Kind.PROFILE,
    Section.TOOLS: Kind.TOOL,
    Section.ZONES: Kind.ZONE,
    Section.SOURCES: Kind.SOURCE,
    Section.CHARTS: Kind.CHART,
}


_Place = tuple[Kind | Section, str]


def _by_place(entries: tuple[Meant, ...]) -> dict[_Place, Meant]:
    """Order entries by kind and id: a sign that became a symptom is still the same entry."""
    return {(_KINDS.get(one.section, one.section), one.id): one for one in entries}


def _gone(one: Meant) -> EntryChange:
    return EntryChange(What.WITHDRAWN, one.section, one.id, one.title)


def _come(one: Meant) -> EntryChange:
    keys = tuple(
        KeyChange(key, None, said, after_span=one.place.key_of(*key))
        for key, said in one.says.items()
        if not said.is_usual
    )
    return EntryChange(What.ADDED, one.section, one.id, one.title, keys)


def _changed(before: Meant, after: Meant, words: frozenset[str]) -> Iterator[KeyChange]:
    for key in dict.fromkeys((*before.says, *after.says)):
        old, new = before.says.get(key), after.says.get(key)
        told_at_the_word = old is not None and new is not None and old.word == new.word in words
        if old != new and not told_at_the_word:
            yield KeyChange(key, old, new, before.place.key_of(*key), after.place.key_of(*key))


def _changed_words(before: Ruleset, after: Ruleset) -> frozenset[str]:
    """Give the words of chance that have another number in each."""
    earlier = dict(before.words)
    return frozenset(word for word, value in after.words if earlier.get(word, value) != value)


def _users(old: Mapping[_Place, Meant], new: Mapping[_Place, Meant]) -> Mapping[str, tuple[str, ...]]:
    """Give for each word of chance the entries that say it at the same key in both rulesets."""
    found: dict[str, dict[str, None]] = {}
    for place, one in new.items():
        earlier = old.get(place)
        if earlier is None:
            continue
        for key, said in one.says.items():
            before = earlier.says.get(key)
            if said.word and before is not None and before.word == said.word:
                found.setdefault(said.word, {})[one.id] = None
    return {word: tuple(ids) for word, ids in found.items()}
