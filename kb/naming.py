"""What a ruleset's names stand for: ids of each kind, and words of chance.

Collected from the whole document before any entry is built, so that an entry may refer to one
that comes later, and so that a name is known even where its entry is at fault.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Final

from kb.ids import RESERVED
from kb.model import WORDS, Allowance
from kb.nearest import nearest, only
from kb.patch import over
from kb.problem import CheckName, Problem
from kb.text import Span
from kb.value import Place, Value

UNKNOWN_REFERENCE: Final = CheckName("unknown-reference")
DUPLICATE_ID: Final = CheckName("duplicate-id")
RESERVED_ID: Final = CheckName("reserved-id")
UNKNOWN_WORD: Final = CheckName("unknown-word")
WORD_OUT_OF_RANGE: Final = CheckName("word-out-of-range")

_REFUSED: Final = -1.0
"""In place of the number of a word whose number cannot be."""
_HINTS: Final = 200
"""Names for which a nearest one is looked up; a file with more is not mistyped but made to hurt."""


class Kind(StrEnum):
    """A kind of entry, called as a message calls it."""

    FINDING = "symptom or sign"
    CAUSE = "cause"
    OPERATION = "remedy or rest"
    QUANTITY = "quantity"
    PRIORITY = "priority"
    TOOL = "tool"
    ZONE = "zone"
    SOURCE = "source"
    PROFILE = "thickness"
    CHART = "chart"


SECTIONS: Final[tuple[tuple[str, Kind, str], ...]] = (
    ("symptoms", Kind.FINDING, "symptom"),
    ("signs", Kind.FINDING, "sign"),
    ("causes", Kind.CAUSE, "cause"),
    ("remedies", Kind.OPERATION, "remedy"),
    ("rests", Kind.OPERATION, "rest"),
    ("quantities", Kind.QUANTITY, "quantity"),
    ("tools", Kind.TOOL, "tool"),
    ("zones", Kind.ZONE, "zone"),
    ("sources", Kind.SOURCE, "source"),
    ("thickness", Kind.PROFILE, "thickness"),
    ("charts", Kind.CHART, "chart"),
)
"""Each section that maps ids to entries, what its ids are when referred to, and one such entry."""

SHARED: Final = frozenset({Kind.FINDING, Kind.CAUSE, Kind.OPERATION, Kind.QUANTITY})
"""Kinds whose ids are one set: an answer file and a log name them without saying which they mean."""


@dataclass(frozen=True, slots=True)
class Chances:
    """Between which numbers a chance may lie, and how a message says so."""

    low: float
    high: float
    low_too: bool
    said: str

    def hold(self, number: float) -> bool:
        """Whether `number` lies within."""
        return (number >= self.low if self.low_too else number > self.low) and number <= self.high


STRENGTH: Final = Chances(0.0, 1.0, low_too=False, said="above 0 and at most 1")
LEAK: Final = Chances(0.0, 0.5, low_too=True, said="from 0 to 0.5")
HOW_COMMON: Final = Chances(0.0, 0.5, low_too=False, said="above 0 and at most 0.5")
REST_PROVOKES: Final = Chances(0.0, 1.0, low_too=True, said="from 0 to 1")


@dataclass(slots=True)
class Names:
    """The names of one document, and what was found wrong while using them. Lives inside `build`."""

    ids: dict[Kind, dict[str, Span]]
    words: dict[str, float]
    problems: list[Problem] = field(default_factory=list)
    suspects: set[str] = field(default_factory=set)
    """Ids about which nothing can be concluded: something was meant for them and got lost."""
    lost: set[Kind] = field(default_factory=set)
    """Kinds of which not all entries could be read: a name of one of them may well be known."""
    hinted: int = 0

    @classmethod
    def of(cls, tree: Value) -> "Names":
        """Collect every id of the document, and say which are reserved or written twice."""
        words = dict(WORDS)
        section = tree.get("words")
        if section is not None:
            # A word whose number was refused stays known: what it should be was said there.
            words |= {p.key: _REFUSED for p in section.pairs()}
            words |= {
                p.key: float(p.value.data) for p in section.pairs() if isinstance(p.value.data, int | float)
            }
        names = cls({kind: {} for kind in Kind}, words)
        shared: dict[str, tuple[str, Span]] = {}
        for key, kind, one in SECTIONS:
            section = tree.get(key)
            if section is not None and section.data is None:
                names.lost.add(kind)
            for pair in section.pairs() if section is not None else ():
                names.declare(kind, pair.key, pair.key_span)
                if kind in SHARED:
                    names.share(shared, one, pair.key, pair.key_span)
        priorities = tree.get("priorities")
        if (
            priorities is None
            or priorities.data is None
            or any(not item.get("id") for item in priorities.items())
        ):
            names.lost.add(Kind.PRIORITY)
        for item in priorities.items() if priorities is not None else ():
            named = item.get("id")
            if named is not None and isinstance(named.data, str):
                if named.data in names.ids[Kind.PRIORITY]:
                    names.twice(named.data, "priority", named.span, names.ids[Kind.PRIORITY][named.data])
                names.declare(Kind.PRIORITY, named.data, named.span)
        return names

    def declare(self, kind: Kind, name: str, span: Span) -> None:
        """Take note of an entry."""
        self.reserve(name, span)
        self.ids[kind].setdefault(name, span)

    def reserve(self, name: str, span: Span) -> None:
        """Say so when `name` is a word that stands for a step or for nothing."""
        if name in RESERVED:
            self.complain(
                span,
                RESERVED_ID,
                f"{name!r} cannot name an entry",
                "it stands for a step; choose another word",
            )

    def share(self, shared: dict[str, tuple[str, Span]], one: str, name: str, span: Span) -> None:
        """Say so when two kinds of entry have the same id."""
        if name in shared:
            # Sections stand in any order in the file: the one further down is at fault.
            first, second = sorted([shared[name], (one, span)], key=lambda entry: entry[1])
            self.twice(name, first[0], second[1], first[1])
        shared.setdefault(name, (one, span))

    def twice(self, name: str, one: str, span: Span, earlier: Span) -> None:
        """Say that an id is taken."""
        self.suspects.add(name)
        self.complain(
            span,
            DUPLICATE_ID,
            f"{name!r} is already the id of a {one}",
            f"it stands in line {earlier.line}; choose another",
        )

    def complain(
        self, span: Span, check: CheckName, message: str, hint: str = "", *, meant: str = ""
    ) -> None:
        """Add a problem; what is plainly `meant` mends it."""
        self.problems.append(Problem(span, check, message, hint, mend=over(span, meant)))

    def refer(self, kind: Kind, name: str, span: Span, owner: str = "") -> bool:
        """Whether `name` is an entry of that kind; say so when it is not."""
        if name in self.ids[kind]:
            return True
        self.suspects.add(owner)
        if kind in self.lost:
            return False
        other = next((other for other in self.ids if name in self.ids[other]), None)
        if other is not None:
            self.complain(
                span, UNKNOWN_REFERENCE, f"{name!r} is no {kind}, but a {other}", f"name a {kind} here"
            )
            return False
        self.unknown(span, f"no {kind} is called {name!r}", name, self.ids[kind])
        return False

    def unknown(
        self, span: Span, message: str, name: str, known: Iterable[str], check: CheckName = UNKNOWN_REFERENCE
    ) -> None:
        """Say that a name is not known, and which one may have been meant."""
        meant = self.nearest(name, known)
        self.suspects.add(meant)
        plainly = only(name, known) if meant else ""
        self.complain(span, check, message, f"did you mean {meant!r}?" if meant else "", meant=plainly)

    def nearest(self, name: str, known: Iterable[str]) -> str:
        """Give the known name that looks most like `name`, or nothing."""
        self.hinted += 1
        return nearest(name, known) if self.hinted <= _HINTS else ""

    def chance(self, value: Value | None, limits: Chances, default: float) -> tuple[float, str]:
        """Give a chance as a number, with the word it was written as, if it was."""
        data = None if value is None else value.data
        if value is None or isinstance(data, bool) or not isinstance(data, int | float | str):
            return default, ""
        if not isinstance(data, str):
            return float(data), ""
        number = self.words.get(data)
        if number is None:
            near = self.nearest(data, self.words)
            meant = f"did you mean {near!r}?" if near else ""
            fitting = [word for word, chance in self.words.items() if limits.hold(chance)]
            self.complain(
                value.span,
                UNKNOWN_WORD,
                f"{data!r} is no word of chance",
                meant or f"write a number, or one of {', '.join(fitting)}",
                meant=only(data, self.words) if near else "",
            )
            return default, data
        if number == _REFUSED:
            return default, data
        if not limits.hold(number):
            self.complain(
                value.span,
                WORD_OUT_OF_RANGE,
                f"{data!r} is {number:g}, and the chance here must be {limits.said}",
                "write a lesser word, or a number",
            )
            return default, data
        return number, data


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry while it is being built: its place, and the names that it may use."""

    id: str
    place: Place
    names: Names

    def get(self, key: str) -> Value | None:
        """Give the value under `key`, or None."""
        return self.place.value.get(key)

    def text(self, key: str, default: str = "") -> str:
        """Give a text (a year may be written as a number)."""
        value = self.get(key)
        return default if value is None or value.data is None else str(value.data)

    def number(self, key: str, default: float) -> float:
        """Give a number."""
        value = self.get(key)
        return float(value.data) if value is not None and isinstance(value.data, int | float) else default

    def whole(self, key: str, default: int) -> int:
        """Give a whole number."""
        return int(self.number(key, default))

    def yes(self, key: str) -> bool:
        """Whether `key` is there and true."""
        value = self.get(key)
        return value is not None and value.data is True

    def one(self, kind: Kind, key: str) -> str | None:
        """Give the id under `key`, if there is one and it refers to something."""
        value = self.get(key)
        if value is None or not isinstance(value.data, str):
            return None
        return value.data if self.names.refer(kind, value.data, value.span, self.id) else None

    def many(self, kind: Kind, key: str) -> tuple[str, ...]:
        """Give the ids listed under `key` that refer to something, each once."""
        value = self.get(key)
        found = [
            item.data
            for item in (value.items() if value is not None else ())
            if isinstance(item.data, str) and self.names.refer(kind, item.data, item.span, self.id)
        ]
        return tuple(dict.fromkeys(found))

    def chances(self, kind: Kind, key: str, limits: Chances) -> tuple[tuple[str, float, str], ...]:
        """Give the ids under `key` that refer to something, each with its chance and its word."""
        value = self.get(key)
        return tuple(
            (pair.key, *self.names.chance(pair.value, limits, limits.high / 2))
            for pair in (value.pairs() if value is not None else ())
            if self.names.refer(kind, pair.key, pair.key_span, self.id)
        )

    def allowances(self) -> tuple[Allowance, ...]:
        """Give the checks that this entry silences, each with its reason."""
        value = self.get("allow")
        pairs = value.pairs() if value is not None else ()
        return tuple(Allowance(pair.key, str(pair.value.data)) for pair in pairs)


def entries(tree: Value, key: str, names: Names) -> tuple[Entry, ...]:
    """Give the entries of a section, in the file's order."""
    section = tree.get(key)
    return tuple(
        Entry(pair.key, Place(pair.key_span, pair.value), names)
        for pair in (section.pairs() if section is not None else ())
    )
