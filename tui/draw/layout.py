"""Where everything of a map goes: three columns of entries, and lines in the two channels between.

Findings stand left, causes in the middle, remedies and rests right, as one reads a ruleset. The
order in each column comes from barycentre sweeps (Sugiyama, Tagawa & Toda 1981, from memory):
again and again each entry moves to the mean place of its neighbours, and the order with the fewest
crossings is kept. Findings stay grouped by priority.

Lines are drawn so that they can be followed and never guessed. In a channel every entry on the
left that has links owns one upright line, its *bus*. Entries of the left column lie on rows of one
parity, those of the right column on rows of the other; so a row carries either the way from one
entry to its own bus, or the way from buses to one entry, and never both. Buses whose stretches do
not touch share a track.
"""

from bisect import bisect_right, insort
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from kb.graph import EntryKind, Graph, LinkKind, MapLink

SWEEPS: Final = 8

Edge = tuple[str, str]
"""From an entry of one column to an entry of the next column to the right."""


@dataclass(frozen=True, slots=True)
class Bus:
    """The upright line of one entry: from its own row to the rows of all that it is linked to."""

    row: int
    track: int
    joins: tuple[tuple[int, MapLink], ...]
    """Row and link of each entry reached, from top to bottom."""

    @property
    def top(self) -> int:
        """Its first row."""
        return min(self.row, self.joins[0][0])

    @property
    def bottom(self) -> int:
        """Its last row."""
        return max(self.row, self.joins[-1][0])


@dataclass(frozen=True, slots=True)
class Layout:
    """Rows of all entries, and the buses of both channels."""

    columns: tuple[tuple[tuple[int, str], ...], ...]
    """For each of the three columns, row and id of its entries, from top to bottom."""
    channels: tuple[tuple[Bus, ...], ...]
    height: int

    def tracks(self, channel: int) -> int:
        """Count the tracks of a channel."""
        return max((bus.track + 1 for bus in self.channels[channel]), default=0)


def lay_out(graph: Graph) -> Layout:
    """Give every entry a row and every link its way."""
    rank: dict[str | None, int] = {priority: number for number, priority in enumerate(graph.priorities)}
    findings = graph.of(EntryKind.SYMPTOM, EntryKind.SIGN)
    group = {entry.id: rank.get(entry.priority, len(rank)) for entry in findings}
    columns = (
        [entry.id for entry in sorted(findings, key=lambda entry: group[entry.id])],
        [entry.id for entry in graph.of(EntryKind.CAUSE)],
        [entry.id for entry in graph.of(EntryKind.REMEDY, EntryKind.REST)],
    )
    drawn = _one_for_each_pair(graph.links)
    edges = (
        [edge for edge, link in drawn.items() if link.kind is LinkKind.SHOWS],
        [edge for edge, link in drawn.items() if link.kind is not LinkKind.SHOWS],
    )
    ordered = _ordered(columns, edges, group)
    rows = _rows(ordered, edges)
    return Layout(
        tuple(tuple((rows[id_], id_) for id_ in column) for column in ordered),
        tuple(_buses(rows, {edge: drawn[edge] for edge in part}) for part in edges),
        2 * max(len(column) for column in columns),
    )


def _one_for_each_pair(links: Sequence[MapLink]) -> dict[Edge, MapLink]:
    """Keep one link for two entries: an operation that cures and provokes is drawn as curing.

    The outline says both.
    """
    kept: dict[Edge, MapLink] = {}
    for link in links:
        kept.setdefault((link.target, link.source), link)
    return kept


def _ordered(
    columns: Sequence[list[str]], edges: Sequence[list[Edge]], group: Mapping[str, int]
) -> tuple[list[str], ...]:
    now = tuple(list(column) for column in columns)
    best, fewest = now, _crossings(now, edges)
    for sweep in range(SWEEPS):
        # To and fro: each column follows the one that was just ordered.
        way = ((0, 1), (1, 2), (2, 1), (1, 0)) if sweep % 2 == 0 else ((2, 1), (1, 0), (0, 1), (1, 2))
        for fixed, moving in way:
            now = _reordered(now, edges, fixed, moving, group)
        crossings = _crossings(now, edges)
        if crossings < fewest:
            best, fewest = now, crossings
    return best


def _reordered(
    columns: tuple[list[str], ...],
    edges: Sequence[list[Edge]],
    fixed: int,
    moving: int,
    group: Mapping[str, int],
) -> tuple[list[str], ...]:
    place = {id_: number for number, id_ in enumerate(columns[fixed])}
    seen: dict[str, list[int]] = {}
    for left, right in edges[min(fixed, moving)]:
        one, other = (right, left) if moving > fixed else (left, right)
        seen.setdefault(one, []).append(place[other])

    def mean(number: int, id_: str) -> float:
        near = seen.get(id_)
        # What has no neighbour there keeps its place, as far as the two columns compare.
        scale = len(columns[fixed]) / max(1, len(columns[moving]))
        return sum(near) / len(near) if near else number * scale

    numbered = enumerate(columns[moving])
    keyed = sorted((group.get(id_, 0), mean(number, id_), number, id_) for number, id_ in numbered)
    changed = list(columns)
    changed[moving] = [id_ for *_, id_ in keyed]
    return tuple(changed)


def _crossings(columns: Sequence[list[str]], edges: Sequence[list[Edge]]) -> int:
    total = 0
    for channel, part in enumerate(edges):
        left = {id_: number for number, id_ in enumerate(columns[channel])}
        right = {id_: number for number, id_ in enumerate(columns[channel + 1])}
        ends = sorted((left[one], right[other]) for one, other in part)
        seen: list[int] = []
        for _, end in ends:
            total += len(seen) - bisect_right(seen, end)
            insort(seen, end)
    return total


def _rows(columns: Sequence[list[str]], edges: Sequence[list[Edge]]) -> dict[str, int]:
    """Give each entry its row: the fullest column closely, the others as near to what they touch as fits."""
    slots = max(len(column) for column in columns)
    fullest = max(range(len(columns)), key=lambda number: len(columns[number]))
    order = {0: (0, 1, 2), 1: (1, 0, 2), 2: (2, 1, 0)}[fullest]
    near: dict[str, list[str]] = {}
    for part in edges:
        for one, other in part:
            near.setdefault(one, []).append(other)
            near.setdefault(other, []).append(one)
    slot: dict[str, int] = {}
    for number in order:
        before = -1
        column = columns[number]
        for place, id_ in enumerate(column):
            placed = [slot[other] for other in near.get(id_, ()) if other in slot]
            wish = round(sum(placed) / len(placed)) if placed else place * slots // len(column)
            before = slot[id_] = max(before + 1, min(wish, slots - (len(column) - place)))
    middle = set(columns[1])
    return {id_: 2 * number + (id_ in middle) for id_, number in slot.items()}


def _buses(rows: Mapping[str, int], links: Mapping[Edge, MapLink]) -> tuple[Bus, ...]:
    joins: dict[str, list[tuple[int, MapLink]]] = {}
    for (left, right), link in links.items():
        joins.setdefault(left, []).append((rows[right], link))
    unplaced = [
        Bus(rows[left], 0, tuple(sorted(ends, key=lambda end: end[0]))) for left, ends in joins.items()
    ]
    free_from: list[int] = []
    placed = []
    for bus in sorted(unplaced, key=lambda bus: (bus.top, bus.bottom)):
        track = next((number for number, row in enumerate(free_from) if row <= bus.top), len(free_from))
        free_from[track : track + 1] = [bus.bottom + 1]
        placed.append(Bus(bus.row, track, bus.joins))
    return tuple(placed)
