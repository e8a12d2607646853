"""A walk over the map: one entry is marked, its neighbours stand in the columns beside it.

A frozen value; every step gives another. The column of the marked entry holds all entries of its
sort, the others only what is linked with it: directly, with the link, or through one more entry.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Final, Self

from kb.graph import EntryKind, Graph, LinkKind, MapEntry, MapLink
from tui.draw.harms import is_slight
from tui.language import worded_later

COLUMNS: Final = (
    (EntryKind.SYMPTOM, EntryKind.SIGN),
    (EntryKind.CAUSE,),
    (EntryKind.REMEDY, EntryKind.REST),
)
HEADS: Final = (worded_later("What shows"), worded_later("Why"), worded_later("What helps"))
_COLUMN: Final[Mapping[EntryKind, int]] = MappingProxyType(
    {kind: at for at, kinds in enumerate(COLUMNS) for kind in kinds}
)


@dataclass(frozen=True, slots=True)
class WalkRow:
    """One entry of a column, as it stands to the marked one."""

    entry: MapEntry
    link: MapLink | None = None
    """The link between the two; None for the marked entry, its own column, and what lies further."""
    through: bool = False
    """Whether it is linked only through another entry."""

    @property
    def is_harm(self) -> bool:
        """Whether the link is one that may provoke."""
        return self.link is not None and self.link.kind is LinkKind.PROVOKES


@dataclass(frozen=True, slots=True)
class Walk:
    """Where on the map one is."""

    whole: Graph
    part: Graph
    """What is shown: the whole, or what the focus can act on and what can act on it."""
    at: str
    """The marked entry; nothing on a map without entries."""
    focus: str = ""
    way: tuple[tuple[str, str], ...] = ()
    """Where one was before each change of focus: marked entry and focus, the newest last."""

    @classmethod
    def begin(cls, graph: Graph, at: str = "") -> Self:
        """Start on `at`, or on the first entry."""
        known = graph.entry(at) if at else None
        first = next(iter(graph.entries), None)
        start = known or first
        return cls(graph, graph, start.id if start is not None else "")

    @property
    def marked(self) -> MapEntry | None:
        """The marked entry."""
        return self.part.entry(self.at)

    @property
    def column(self) -> int:
        """The column of the marked entry, from 0."""
        marked = self.marked
        return 0 if marked is None else _COLUMN[marked.kind]

    def rows(self, column: int) -> tuple[WalkRow, ...]:
        """Give the entries of one column, nearest and strongest first; its own in the file's order."""
        if column == self.column:
            return tuple(WalkRow(entry) for entry in self.part.of(*COLUMNS[column]))
        near = self._linked()
        if abs(column - self.column) == 1:
            return tuple(row for row in near if _COLUMN[row.entry.kind] == column)
        return self._further(near, column)

    def moved(self, by: int) -> Self:
        """Go up or down in the column, no further than its ends."""
        ids = [row.entry.id for row in self.rows(self.column)]
        if not ids:
            return self
        return replace(self, at=ids[max(0, min(len(ids) - 1, ids.index(self.at) + by))])

    def sideways(self, by: int) -> Self:
        """Go to the strongest neighbour on that side; stay where there is none."""
        column = self.column + by
        if not 0 <= column < len(COLUMNS):
            return self
        rows = self.rows(column)
        return replace(self, at=rows[0].entry.id) if rows else self

    def to(self, id_: str) -> Self:
        """Mark any entry; where the focus hides it, the whole map comes back."""
        if self.part.entry(id_) is not None:
            return replace(self, at=id_)
        return self._turned(self.whole, id_, "")

    def focused(self) -> Self:
        """Show only what has to do with the marked entry."""
        if not self.at or self.at == self.focus:
            return self
        return self._turned(self.whole.about(self.at), self.at, self.at)

    def back(self) -> Self | None:
        """Go back to where the focus was changed last; None where it never was."""
        if not self.way:
            return None
        *way, (at, focus) = self.way
        part = self.whole.about(focus) if focus else self.whole
        return replace(self, part=part, at=at, focus=focus, way=tuple(way))

    def _turned(self, part: Graph, at: str, focus: str) -> Self:
        return replace(self, part=part, at=at, focus=focus, way=(*self.way, (self.at, self.focus)))

    def _linked(self) -> tuple[WalkRow, ...]:
        """Give what is linked with the marked entry, the mends before the harms, the strongest first."""
        entries = {entry.id: entry for entry in self.part.entries}
        kinds = list(LinkKind)
        found: dict[str, MapLink] = {}
        touching = [one for one in _touching(self.part.links, self.at) if not is_slight(one)]
        for link in sorted(touching, key=lambda one: (kinds.index(one.kind), -one.chance)):
            # A remedy that cures and provokes the same cause stands once, for what it is done for.
            found.setdefault(link.target if link.source == self.at else link.source, link)
        return tuple(WalkRow(entries[id_], link) for id_, link in found.items() if id_ in entries)

    def _further(self, near: Iterable[WalkRow], column: int) -> tuple[WalkRow, ...]:
        """Give the entries of the far column, those with the best way (product of both chances) first."""
        best: dict[str, float] = {}
        for row in near:
            if row.link is None or row.link.kind is LinkKind.PROVOKES:
                continue
            for link in _touching(self.part.links, row.entry.id):
                other = link.source if link.target == row.entry.id else link.target
                if link.kind is not LinkKind.PROVOKES:
                    best[other] = max(best.get(other, 0.0), row.link.chance * link.chance)
        entries = [entry for entry in self.part.of(*COLUMNS[column]) if entry.id in best]
        return tuple(WalkRow(entry, through=True) for entry in sorted(entries, key=lambda one: -best[one.id]))


def _touching(links: Iterable[MapLink], id_: str) -> Iterable[MapLink]:
    return (link for link in links if id_ in {link.source, link.target})
