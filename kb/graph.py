"""The cause-effect graph of a ruleset as a frozen value: what maps draw.

Links point the way effects run: an operation to the causes that it cures or provokes, a cause to
the findings that it makes show. Separate from the model, since a drawing needs entries of every
kind alike, and from the drawing, since the same value is drawn as text, as DOT and as an outline.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from enum import StrEnum

from kb.ids import PriorityId, RulesetId
from kb.model import Effect, Ruleset


class EntryKind(StrEnum):
    """What an entry of the map is."""

    SYMPTOM = "symptom"
    SIGN = "sign"
    CAUSE = "cause"
    REMEDY = "remedy"
    REST = "rest"


class LinkKind(StrEnum):
    """What a link says."""

    SHOWS = "shows"
    CURES = "cures"
    PROVOKES = "provokes"


@dataclass(frozen=True, slots=True)
class MapEntry:
    """A finding, cause, remedy or rest."""

    id: str
    kind: EntryKind
    title: str
    priority: PriorityId | None = None
    """Of findings that belong to one."""


@dataclass(frozen=True, slots=True)
class MapLink:
    """One entry acts on another."""

    source: str
    target: str
    kind: LinkKind
    chance: float
    word: str = ""
    """The word of chance that the author wrote, or nothing for a number."""


@dataclass(frozen=True, slots=True)
class Graph:
    """Entries and links, both in the order of the file; findings first, then causes, then operations."""

    ruleset: RulesetId
    title: str
    version: str
    priorities: tuple[PriorityId, ...]
    """Most urgent first."""
    entries: tuple[MapEntry, ...]
    links: tuple[MapLink, ...]

    def entry(self, id_: str) -> MapEntry | None:
        """Give the entry called `id_`, or None."""
        return next((entry for entry in self.entries if entry.id == id_), None)

    def of(self, *kinds: EntryKind) -> tuple[MapEntry, ...]:
        """Give the entries of these kinds, in order."""
        return tuple(entry for entry in self.entries if entry.kind in kinds)

    def about(self, id_: str) -> "Graph":
        """Give the part that `id_` can act on and that can act on it, itself included.

        Links between what is kept stay only where they lie on a way through `id_`.
        """
        below = self._reached({id_}, self.links)
        above = self._reached({id_}, (_turned(link) for link in self.links))
        links = tuple(
            link
            for link in self.links
            if {link.source, link.target} <= below or {link.source, link.target} <= above
        )
        kept = below | above
        entries = tuple(entry for entry in self.entries if entry.id in kept)
        return replace(self, entries=entries, links=links)

    @staticmethod
    def _reached(start: set[str], links: Iterable[MapLink]) -> set[str]:
        onward: dict[str, list[str]] = {}
        for link in links:
            onward.setdefault(link.source, []).append(link.target)
        reached, waiting = set(start), list(start)
        while waiting:
            for next_ in onward.get(waiting.pop(), ()):
                if next_ not in reached:
                    reached.add(next_)
                    waiting.append(next_)
        return reached


def graph_of(ruleset: Ruleset) -> Graph:
    """Give the cause-effect graph of `ruleset`."""
    return Graph(
        ruleset=ruleset.id,
        title=ruleset.title,
        version=ruleset.version,
        priorities=tuple(priority.id for priority in ruleset.priorities),
        entries=tuple(_entries(ruleset)),
        links=tuple(_links(ruleset)),
    )


def _entries(ruleset: Ruleset) -> Iterator[MapEntry]:
    for finding in ruleset.findings:
        kind = EntryKind.SIGN if finding.is_sign else EntryKind.SYMPTOM
        yield MapEntry(finding.id, kind, finding.title, finding.priority)
    for cause in ruleset.causes:
        yield MapEntry(cause.id, EntryKind.CAUSE, cause.title)
    for operation in ruleset.operations:
        kind = EntryKind.REST if operation.is_rest else EntryKind.REMEDY
        yield MapEntry(operation.id, kind, operation.title)


def _links(ruleset: Ruleset) -> Iterator[MapLink]:
    for cause in ruleset.causes:
        for show in cause.shows:
            yield MapLink(cause.id, show.finding, LinkKind.SHOWS, show.strength, show.word)
    for operation in ruleset.operations:
        yield from _effects(operation.id, LinkKind.CURES, operation.cures)
        # A rest may state a chance of 0 to say that it provokes nothing; that is no link.
        yield from _effects(
            operation.id, LinkKind.PROVOKES, (one for one in operation.provokes if one.chance > 0)
        )


def _effects(operation: str, kind: LinkKind, effects: Iterable[Effect]) -> Iterator[MapLink]:
    for effect in effects:
        yield MapLink(operation, effect.cause, kind, effect.chance, effect.word)


def _turned(link: MapLink) -> MapLink:
    return MapLink(link.target, link.source, link.kind, link.chance, link.word)
