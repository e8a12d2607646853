"""Words for what a ruleset says: the sections, one value, one entry, and a page on which they are noted.

Apart from `kb.compare.meaning`, which knows each kind of entry: here is only how a value is worded
and compared, whatever entry it stands in.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from types import MappingProxyType
from typing import Final

from kb.model import Allowance, Dissent
from kb.naming import Kind
from kb.value import NO_PLACE, Place

Key = tuple[str, ...]
"""Keys from an entry down to a value, as the file writes them."""
Renames = Mapping[Kind, Mapping[str, str]]
"""For each kind of entry the ids that are to be called otherwise."""
NONE: Final[Renames] = MappingProxyType({})
NOT_SAID: Final = "not said"


class Section(StrEnum):
    """A part of a ruleset, called by its key; the head is what stands beside the sections."""

    HEAD = "head"
    WORDS = "words"
    PRIORITIES = "priorities"
    SYMPTOMS = "symptoms"
    SIGNS = "signs"
    CAUSES = "causes"
    REMEDIES = "remedies"
    RESTS = "rests"
    QUANTITIES = "quantities"
    THICKNESS = "thickness"
    TOOLS = "tools"
    ZONES = "zones"
    SOURCES = "sources"
    CHARTS = "charts"
    TRIALS = "trials"
    GLOSSARY = "glossary"


@dataclass(frozen=True, slots=True)
class Said:
    """What stands at one key: `means` is compared, `words` are shown."""

    means: object
    words: str = field(compare=False)
    word: str = field(default="", compare=False)
    """The word of chance that was written, or nothing."""
    is_usual: bool = field(default=False, compare=False)
    """Whether it would be so without a word about it."""


@dataclass(frozen=True, slots=True)
class Meant:
    """One entry and all that it says."""

    section: Section
    id: str
    title: str
    says: Mapping[Key, Said]
    place: Place = field(default=NO_PLACE, compare=False, repr=False)


def number(value: float) -> str:
    """Write a number as an author does.

    >>> number(3.0), number(0.05)
    ('3', '0.05')
    """
    return f"{value:.10g}"


def chance(value: float, word: str = "") -> str:
    """Write a chance, with its word if it has one.

    >>> chance(0.8, "usually"), chance(0.35)
    ('usually (0.80)', '0.35')
    """
    plain = f"{value:.2f}" if round(value, 2) == value else number(value)
    return f"{word} ({plain})" if word else plain


class Page:
    """The keys of one entry while they are collected. Lives only while an entry is read."""

    def __init__(self, renames: Renames) -> None:
        self.renames = renames
        self.says: dict[Key, Said] = {}

    def name(self, kind: Kind, id_: str) -> str:
        """Give what an id is to be called."""
        return self.renames.get(kind, {}).get(id_, id_)

    def put(self, value: str | float | None, *key: str, usual: object = "") -> None:
        """Note a text, a number, or nothing."""
        if value is None or value == "":
            words = NOT_SAID
        elif isinstance(value, StrEnum):
            words = value.value
        else:
            words = f"“{value}”" if isinstance(value, str) else number(value)
        self.says[key] = Said(value, words, is_usual=value == usual)

    def flag(self, value: bool, key: str) -> None:  # noqa: FBT001  (the value that is noted)
        """Note whether something holds."""
        self.says[(key,)] = Said(value, "yes" if value else "no", is_usual=not value)

    def one(self, kind: Kind, id_: str | None, key: str) -> None:
        """Note another entry."""
        named = "" if id_ is None else self.name(kind, id_)
        self.says[(key,)] = Said(named, named or NOT_SAID, is_usual=not named)

    def many(self, kind: Kind, ids: Iterable[str], key: str, *, ordered: bool = False) -> None:
        """Note a list of other entries."""
        named = tuple(self.name(kind, id_) for id_ in ids)
        self.listed(named if ordered else tuple(sorted(named)), key)

    def listed(self, items: tuple[str, ...], key: str) -> None:
        """Note a list of words."""
        self.says[(key,)] = Said(items, ", ".join(items) or "none", is_usual=not items)

    def chance(self, value: float, word: str, *key: str, usual: float | None = None) -> None:
        """Note a chance."""
        self.says[key] = Said(value, chance(value, word), word, is_usual=value == usual)

    def range(self, value: tuple[float, float] | None, key: str) -> None:
        """Note two ends."""
        words = NOT_SAID if value is None else f"{number(value[0])} to {number(value[1])}"
        self.says[(key,)] = Said(value, words, is_usual=value is None)

    def allowed(self, allow: tuple[Allowance, ...]) -> None:
        """Note the checks that are silenced."""
        for one in allow:
            self.put(one.reason, "allow", one.check)

    def sourced(self, sources: Iterable[str], differs: tuple[Dissent, ...]) -> None:
        """Note where the entry comes from and who sees it otherwise."""
        self.many(Kind.SOURCE, sources, "sources")
        for source in dict.fromkeys(one.source for one in differs):
            views = sorted(one.says for one in differs if one.source == source)
            self.put("; ".join(views), "differs", self.name(Kind.SOURCE, source))
