"""Where everything of a drawn map goes: boxes in three columns, and a line of its own for every link.

The order of the columns is that of the map in characters (`layout`). A box is as high as its title
or its links need: every link ends at a place of its own on the edge of its box, with its label above
it, so that neither lines nor labels ever lie on each other where they begin and end. Lengths are in
points (1/72 inch), since what matters is how it reads on paper.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from kb.graph import Graph, MapEntry, MapLink
from tui.draw.cells import wrapped
from tui.draw.layout import lay_out
from tui.draw.svg import LETTER

TITLE_SIZE: Final = 8.0
NOTE_SIZE: Final = 6.5
LINE: Final = 9.6
"""From one line of a title to the next."""
PITCH: Final = 9.0
"""From one link's end to the next, room for its label included."""
EDGE: Final = 3.5
"""Space above and below the text of a box."""
GAP: Final = 6.0
"""Between two boxes of a column."""
BOX: Final = 122.0
"""Width of a box."""
CHANNELS: Final = (88.0, 101.0)
"""Width of the two channels between the columns."""
LEFT: Final = (0.0, BOX + CHANNELS[0], 2 * BOX + sum(CHANNELS))
"""Where each column begins."""
WIDTH: Final = LEFT[2] + BOX
MARK: Final = 14.0
"""Width that the sign of its kind takes in a box."""
TITLE_CELLS: Final = int((BOX - MARK - 5) / (TITLE_SIZE * LETTER))
TITLE_LINES: Final = 6


@dataclass(frozen=True, slots=True)
class Box:
    """An entry in its place."""

    entry: MapEntry
    column: int
    top: float
    height: float
    lines: tuple[str, ...]
    """Its title, broken."""
    note: str
    """What is known of it, or where else it stands; may be empty."""

    @property
    def left(self) -> float:
        """Its left edge."""
        return LEFT[self.column]

    @property
    def middle(self) -> float:
        """Half way down."""
        return self.top + self.height / 2


@dataclass(frozen=True, slots=True)
class Line:
    """A link, from its place on the right edge of what it acts on to the left edge of what acts."""

    link: MapLink
    start: tuple[float, float]
    end: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Sheet:
    """Boxes and lines, in points from the upper left corner."""

    boxes: tuple[Box, ...]
    lines: tuple[Line, ...]
    height: float


def lay_sheet(graph: Graph, notes: Mapping[str, str]) -> Sheet:
    """Give everything of `graph` its place; `notes` are small lines under titles, by id."""
    layout = lay_out(graph)
    columns = [[id_ for _, id_ in column] for column in layout.columns]
    entries = {entry.id: entry for entry in graph.entries}
    near = Neighbours.of(graph)
    heights = {id_: box_height(entry, near, id_ in notes) for id_, entry in entries.items()}
    tops = _tops(columns, heights, near)
    boxes = tuple(
        Box(entries[id_], number, tops[id_], heights[id_], title_lines(entries[id_]), notes.get(id_, ""))
        for number, column in enumerate(columns)
        for id_ in column
    )
    height = max((box.top + box.height for box in boxes), default=0.0)
    return Sheet(boxes, _lines({box.entry.id: box for box in boxes}, graph.links), height)


@dataclass(frozen=True, slots=True)
class Neighbours:
    """The links of every entry: on its right those that act on it, on its left those by which it acts."""

    right: Mapping[str, Sequence[MapLink]]
    left: Mapping[str, Sequence[MapLink]]

    @classmethod
    def of(cls, graph: Graph) -> "Neighbours":
        """Sort the links of `graph` by both of their ends."""
        right: dict[str, list[MapLink]] = {}
        left: dict[str, list[MapLink]] = {}
        for link in graph.links:
            right.setdefault(link.target, []).append(link)
            left.setdefault(link.source, []).append(link)
        return cls(right, left)

    def most(self, id_: str) -> int:
        """Give how many links meet one edge of an entry at most."""
        return max(len(self.right.get(id_, ())), len(self.left.get(id_, ())))


def box_height(entry: MapEntry, near: Neighbours, noted: bool) -> float:  # noqa: FBT001 - one more line
    """Give how high an entry's box must be."""
    text = len(title_lines(entry)) * LINE + noted * LINE + 2 * EDGE
    return max(text, near.most(entry.id) * PITCH + EDGE)


def title_lines(entry: MapEntry) -> tuple[str, ...]:
    """Break a title into the lines of its box."""
    return wrapped(entry.title, TITLE_CELLS, TITLE_LINES)


def _tops(
    columns: Sequence[Sequence[str]], heights: Mapping[str, float], near: Neighbours
) -> dict[str, float]:
    """Stack the highest column closely, and the others as near to what they touch as they fit."""
    full = [sum(heights[id_] + GAP for id_ in column) - GAP for column in columns]
    room = max(full)
    highest = full.index(room)
    tops: dict[str, float] = {}
    for number in {0: (0, 1, 2), 1: (1, 0, 2), 2: (2, 1, 0)}[highest]:
        column = columns[number]
        wishes = []
        for id_ in column:
            others = [link.target for link in near.left.get(id_, ())]
            others += [link.source for link in near.right.get(id_, ())]
            middles = [tops[other] + heights[other] / 2 for other in others if other in tops]
            wishes.append(sum(middles) / len(middles) - heights[id_] / 2 if middles else None)
        tops |= _stacked(column, heights, wishes, room)
    return tops


def _stacked(
    column: Sequence[str], heights: Mapping[str, float], wishes: Sequence[float | None], room: float
) -> dict[str, float]:
    tops: list[float] = []
    least = 0.0
    for id_, wish in zip(column, wishes, strict=True):
        tops.append(max(least, wish or 0.0))
        least = tops[-1] + heights[id_] + GAP
    most = room
    for place in range(len(column) - 1, -1, -1):
        tops[place] = min(tops[place], most - heights[column[place]])
        most = tops[place] - GAP
    return dict(zip(column, tops, strict=True))


def _lines(boxes: Mapping[str, Box], links: Sequence[MapLink]) -> tuple[Line, ...]:
    starts = _ends(boxes, {n: (link.target, link.source) for n, link in enumerate(links)})
    ends = _ends(boxes, {n: (link.source, link.target) for n, link in enumerate(links)})
    return tuple(
        Line(
            link,
            (boxes[link.target].left + BOX, starts[number]),
            (boxes[link.source].left, ends[number]),
        )
        for number, link in enumerate(links)
    )


def _ends(boxes: Mapping[str, Box], links: Mapping[int, tuple[str, str]]) -> dict[int, float]:
    """Share out an edge of each box among its links, in the order in which their other ends lie."""
    at: dict[str, list[int]] = {}
    for number, (here, _) in links.items():
        at.setdefault(here, []).append(number)
    found = {}
    for here, numbers in at.items():
        box = boxes[here]
        numbers.sort(key=lambda number: (boxes[links[number][1]].middle, number))
        step = box.height / len(numbers)
        for place, number in enumerate(numbers):
            found[number] = box.top + (place + 0.5) * step
    return found
