"""The map in characters. `layout` says where everything goes; here it becomes lines of text.

How to read a line, and how the test reads it: start at an entry of the left or middle column, go
right to its own upright line, along it, and off to the right wherever it has an arm. A line that
meets a sign with no arm towards it passes behind and goes on at the other side. The stroke right
of an arm says how strong the link is, by its shape.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from kb.graph import EntryKind, Graph, LinkKind, MapLink
from tui.draw.cells import cells, padded, wrapped
from tui.draw.layout import Bus, Layout, lay_out
from tui.language import worded, worded_later

STRONG: Final = 0.7
"""Chance from which a link is drawn heavy; the word *usually* is."""
WEAK: Final = 0.3
"""Chance below which a link is drawn broken; the word *rarely* is."""
NARROWEST: Final = 12
"""Cells, mark included, below which a title tells nothing."""
WIDEST: Final = 44
"""Cells that a column of titles takes at most: beyond, two short lines read better than a long one."""

MARKS: Final[Mapping[EntryKind, str]] = {
    EntryKind.SYMPTOM: "●",
    EntryKind.SIGN: "○",
    EntryKind.CAUSE: "◆",
    EntryKind.REMEDY: "■",
    EntryKind.REST: "□",
}
LEGEND: Final = (
    worded_later("● symptom  ○ sign  ◆ cause  ■ remedy  □ rest"),
    worded_later("━ strong (0.7 and up)  ─ middling  ┄ weak (below 0.3)  ═ may provoke"),
)

_HEADS: Final = (worded_later("What shows"), worded_later("Why"), worded_later("What helps"))
_LIGHT, _HEAVY, _BROKEN, _DOUBLE = "─", "━", "┄", "═"
# By whether the bus goes on upwards and downwards, then by the stroke of the arm to the right.
_ARMS: Final[Mapping[tuple[bool, bool], Mapping[str, str]]] = {
    (True, True): {_LIGHT: "├", _BROKEN: "├", _HEAVY: "┝", _DOUBLE: "╞"},
    (False, True): {_LIGHT: "┌", _BROKEN: "┌", _HEAVY: "┍", _DOUBLE: "╒"},
    (True, False): {_LIGHT: "└", _BROKEN: "└", _HEAVY: "┕", _DOUBLE: "╘"},
}
_OWN: Final[Mapping[tuple[bool, bool], str]] = {(True, True): "┤", (False, True): "┐", (True, False): "┘"}


@dataclass(frozen=True, slots=True)
class Measures:
    """How the width of a line is shared out."""

    titles: tuple[int, int, int]
    pitch: int
    """Cells from one track to the next: 2, or 1 where it is tight; then there is no room for strokes."""
    channels: tuple[int, int]


def draw_map(graph: Graph, width: int) -> tuple[str, ...] | None:
    """Draw the map within `width` cells, without legend; None when it could not be read at that width."""
    layout = lay_out(graph)
    natural = tuple(
        min(WIDEST, max([cells(head), *(2 + cells(_title(graph, id_)) for _, id_ in column)]))
        for head, column in zip(map(worded, _HEADS), layout.columns, strict=True)
    )
    measures = _measures(layout, (natural[0], natural[1], natural[2]), width)
    if measures is None:
        return None
    strips = [
        _titles(graph, layout, 0, measures.titles[0]),
        _channel(layout, 0, measures),
        _titles(graph, layout, 1, measures.titles[1]),
        _channel(layout, 1, measures),
        _titles(graph, layout, 2, measures.titles[2]),
    ]
    head = "".join(
        padded(text, measures.titles[number] + (measures.channels[number] if number < 2 else 0))
        for number, text in enumerate(map(worded, _HEADS))
    )
    rows = ["".join(parts).rstrip() for parts in zip(*strips, strict=True)]
    while rows and not rows[-1]:
        rows.pop()
    return (head.rstrip(), "", *rows)


def stroke_of(link: MapLink) -> str:
    """Give the stroke that shows what a link is, and how strong."""
    if link.kind is LinkKind.PROVOKES:
        return _DOUBLE
    if link.chance >= STRONG:
        return _HEAVY
    return _LIGHT if link.chance >= WEAK else _BROKEN


def _title(graph: Graph, id_: str) -> str:
    entry = graph.entry(id_)
    return " ".join(entry.title.split()) if entry else id_


def _measures(layout: Layout, natural: tuple[int, int, int], width: int) -> Measures | None:
    for pitch in (2, 1):
        channels = tuple(3 + pitch * layout.tracks(channel) for channel in (0, 1))
        room = width - sum(channels)
        titles = list(natural)
        while sum(titles) > room and max(titles) > NARROWEST:
            # The widest column gives way first: it wins most by breaking its titles in two.
            titles[titles.index(max(titles))] -= 1
        if sum(titles) <= room:
            return Measures((titles[0], titles[1], titles[2]), pitch, (channels[0], channels[1]))
    return None


def _titles(graph: Graph, layout: Layout, column: int, width: int) -> list[str]:
    lines = [" " * width for _ in range(layout.height + 1)]
    leaves = {bus.row for bus in layout.channels[column]} if column < 2 else set()
    for row, id_ in layout.columns[column]:
        entry = graph.entry(id_)
        mark = MARKS[entry.kind] if entry else " "
        first, *second = wrapped(_title(graph, id_), width - 2, 2)
        line = f"{mark} {first}"
        if row in leaves and cells(line) < width:
            line = padded(line + " ", width, _LIGHT)
        lines[row] = padded(line, width)
        if second:
            lines[row + 1] = padded("  " + second[0], width)
    return lines


def _channel(layout: Layout, channel: int, measures: Measures) -> list[str]:
    width = measures.channels[channel]
    canvas = [[" "] * width for _ in range(layout.height + 1)]
    buses = layout.channels[channel]
    for bus in buses:
        _draw_bus(canvas, bus, _column_of(bus, measures.pitch))
    for bus in buses:
        _fill(canvas[bus.row], 0, _column_of(bus, measures.pitch), _LIGHT)
    # From left to right, so that the stroke just right of each arm is that arm's own.
    for bus in sorted(buses, key=lambda bus: bus.track):
        at = _column_of(bus, measures.pitch)
        for row, link in bus.joins:
            _fill(canvas[row], at + 1, width - 1, stroke_of(link))
    return ["".join(row) for row in canvas]


def _column_of(bus: Bus, pitch: int) -> int:
    return 1 + pitch * bus.track


def _draw_bus(canvas: list[list[str]], bus: Bus, at: int) -> None:
    strokes = {row: stroke_of(link) for row, link in bus.joins}
    for row in range(bus.top, bus.bottom + 1):
        goes_on = (row > bus.top, row < bus.bottom)
        if row == bus.row:
            canvas[row][at] = _OWN[goes_on]
        else:
            canvas[row][at] = _ARMS[goes_on][strokes[row]] if row in strokes else "│"


def _fill(row: list[str], start: int, end: int, stroke: str) -> None:
    """Draw along a row, behind every upright line that is in the way."""
    for at in range(start, end):
        if row[at] == " " or row[at] in {_LIGHT, _HEAVY, _BROKEN, _DOUBLE}:
            row[at] = stroke
