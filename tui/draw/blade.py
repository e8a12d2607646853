"""The reed in characters: blade from above with its zones, tube and wires below, one zone lit.

The zones are the ruleset's own polygons, in millimetres from the tip, in the maker's view (tip up,
left on the left). A cell of a terminal is about twice as high as wide; each is sampled on the
2 × 4 raster of a braille sign, so that outlines are fine lines, and a lit zone is made of solid
quarter blocks: it differs from the rest by shape and not by colour alone.

Zones may overlap as their author likes (a spine runs through the heart), and all their borders at
once would be a tangle. Only zones that hardly overlap are outlined, the largest first; the lit one
is always drawn. The tube has a scale of its own, since what is scraped is the blade.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from kb.ids import ZoneId
from kb.model import Zone

Point = tuple[float, float]
Polygon = tuple[Point, ...]


class Ink(StrEnum):
    """What a run of cells shows; the front that prints it gives it a colour."""

    EMPTY = "empty"
    CANE = "cane"
    """Scraped cane, with or without an outline on it."""
    EDGE = "edge"
    """An outline on a cell that hardly holds cane."""
    TUBE = "tube"
    WIRE = "wire"
    LIT = "lit"
    """The zone that is meant."""


Run = tuple[str, Ink]


@dataclass(frozen=True, slots=True)
class Drawing:
    """A reed drawn in cells."""

    lines: tuple[tuple[Run, ...], ...]
    columns: int
    """Cells in every line."""
    blade_rows: int
    """Lines from the tip to the collar; tube and wires stand below."""

    def text(self) -> str:
        """Give the bare characters, line by line."""
        return "\n".join("".join(glyphs for glyphs, _ in line) for line in self.lines)


BRAILLE: Final = 0x2800
DOTS: Final = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
"""The bit of each dot of a braille sign, by row and column."""
QUARTERS: Final = " ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"
"""Block signs by the quarters they fill: 1 upper left, 2 upper right, 4 lower left, 8 lower right."""
NOTHING: Final = -1
SQUASHED: Final = 1.7
"""How much a low window may squash the blade before it is also drawn narrower."""
OVERLAP: Final = 0.15
"""Share of a zone that may lie on outlined ones before its own outline is left out."""
COVERS: Final = 0.75
"""Share of the blade from which a zone is the blade, and needs no outline of its own."""
TUBE_LENGTH: Final = 27.5
"""Millimetres of tube where no zone shows how long it is (bassoon, common practice, no source)."""
WIRE_AT: Final = (0.11, 0.38, 0.83)
"""Where three wires sit along the tube, from the collar: a picture, not a measure (common practice)."""
MOSTLY: Final = 5
"""Dots of the eight of a cell that lie on cane before the whole cell is cane."""
FEWEST_ROWS: Final = 4
FEWEST_COLUMNS: Final = 6
ROOMY: Final = 18


def draw_reed(zones: Sequence[Zone], lit: ZoneId | None, columns: int, rows: int) -> Drawing | None:
    """Draw the reed into at most `columns` × `rows` cells, or None where nothing can be drawn.

    Nothing can be drawn when no zone has a polygon, or when the room is too small to tell zones
    apart.
    """
    areas = [zone for zone in zones if area(zone.polygon) > 0]
    wires = sorted((zone for zone in zones if zone.wire is not None), key=lambda zone: zone.wire or 0)
    if not areas or columns < FEWEST_COLUMNS:
        return None
    collar = max(y for _, y in outline_of(areas))
    blade = [zone for zone in areas if min(y for _, y in zone.polygon) < collar]
    tube = [zone for zone in areas if zone not in blade]
    tube_rows = _tube_rows(wires, tube, lit, rows)
    blade_rows = rows - tube_rows
    if blade_rows < FEWEST_ROWS:
        return None
    shape = next((zone.polygon for zone in areas if zone.id == lit), ())
    grid = _Grid.over([zone.polygon for zone in blade], columns, blade_rows)
    lines = [_runs(cells) for cells in _cells(grid, _outlined(grid, blade), shape, Ink.CANE)]
    if tube_rows:
        lines += _tube_lines(grid, tube, wires, (lit, shape), collar, tube_rows)
    return Drawing(tuple(lines), grid.columns, grid.rows)


def outline_of(areas: Sequence[Zone]) -> Polygon:
    """Give the outline of the blade: the largest of the zones that hang together from the tip onwards.

    A zone that begins where these end lies on the tube, however large it is (the cork of an oboe reed).
    """
    from_tip = sorted((zone.polygon for zone in areas), key=lambda polygon: min(y for _, y in polygon))
    blade = [from_tip[0]]
    for polygon in from_tip[1:]:
        if min(y for _, y in polygon) < max(y for one in blade for _, y in one):
            blade.append(polygon)
    return max(blade, key=area)


def _tube_rows(wires: Sequence[Zone], tube: Sequence[Zone], lit: ZoneId | None, rows: int) -> int:
    if not wires and not tube:
        return 0
    fewest = max(len(wires), 2)
    if rows >= ROOMY:
        return max(2 * fewest, round(rows * 0.36))
    meant = any(zone.id == lit for zone in (*wires, *tube))
    return max(fewest, min(round(rows * 0.5), rows - FEWEST_ROWS)) if meant else fewest


@dataclass(frozen=True, slots=True)
class _Grid:
    """How cells lie over a part of the reed."""

    left: float
    top: float
    across: float
    """Millimetres in the width of one dot, half a cell."""
    along: float
    """Millimetres in the height of one dot, a quarter of a cell."""
    columns: int
    rows: int

    @classmethod
    def over(cls, polygons: Sequence[Polygon], columns: int, rows: int) -> "_Grid":
        xs = [x for polygon in polygons for x, _ in polygon]
        ys = [y for polygon in polygons for _, y in polygon]
        width, height = max(max(xs) - min(xs), 1e-6), max(max(ys) - min(ys), 1e-6)
        across = max(width / (2 * columns), height / (4 * rows) / SQUASHED)
        along = max(height / (4 * rows), across / SQUASHED)
        wide = min(columns, max(1, _ceil(width / across / 2)))
        high = min(rows, max(1, _ceil(height / along / 4)))
        left = (max(xs) + min(xs)) / 2 - wide * across
        return cls(left, min(ys), across, along, wide, high)

    @property
    def dots(self) -> tuple[int, int]:
        return 4 * self.rows, 2 * self.columns

    def covered(self, polygon: Polygon) -> frozenset[tuple[int, int]]:
        """Give the dots, as (row, column), whose centres lie in `polygon`."""
        high, wide = self.dots
        found = []
        for row in range(high):
            crossings = sorted(_crossings(polygon, self.top + (row + 0.5) * self.along))
            for x1, x2 in zip(crossings[::2], crossings[1::2], strict=False):
                first = max(0, _ceil((x1 - self.left) / self.across - 0.5))
                last = min(wide, _ceil((x2 - self.left) / self.across - 0.5))
                found += [(row, column) for column in range(first, last)]
        return frozenset(found)


def _outlined(grid: _Grid, zones: Sequence[Zone]) -> list[frozenset[tuple[int, int]]]:
    """Give the dots of the areas to outline: first the whole, then zones that hardly overlap."""
    covered = [grid.covered(zone.polygon) for zone in sorted(zones, key=lambda zone: -area(zone.polygon))]
    whole = frozenset().union(*covered)
    taken: frozenset[tuple[int, int]] = frozenset()
    chosen = [whole]
    for dots in covered:
        if dots and len(dots) < COVERS * len(whole) and len(dots & taken) <= OVERLAP * len(dots):
            chosen.append(dots)
            taken |= dots
    return chosen


def _cells(
    grid: _Grid, areas: Sequence[frozenset[tuple[int, int]]], lit: Polygon, ink: Ink
) -> list[list[Run]]:
    """Fill cells with outlines of `areas`, later ones on top, and with `lit` over them all."""
    high, wide = grid.dots
    owner = {dot: number for number, dots in enumerate(areas) for dot in dots}
    marks: Counter[tuple[int, int]] = Counter()
    filled: Counter[tuple[int, int]] = Counter()
    for row, column in owner:
        cell = row // 4, column // 2
        filled[cell] += 1
        if _is_edge(owner, row, column):
            marks[cell] += DOTS[row % 4][column % 2]
    shines = grid.covered(lit)
    lines = []
    for top in range(0, high, 4):
        cells = []
        for left in range(0, wide, 2):
            on = _quarters(shines, top, left)
            if on:
                cells.append((QUARTERS[on], Ink.LIT))
                continue
            cell = top // 4, left // 2
            bare = Ink.EDGE if marks[cell] else Ink.EMPTY
            glyph = chr(BRAILLE + marks[cell]) if marks[cell] else " "
            cells.append((glyph, ink if filled[cell] >= MOSTLY else bare))
        lines.append(cells)
    return lines


def _tube_lines(
    grid: _Grid,
    zones: Sequence[Zone],
    wires: Sequence[Zone],
    lit: tuple[ZoneId | None, Polygon],
    collar: float,
    rows: int,
) -> list[tuple[Run, ...]]:
    end = max((y for zone in zones for _, y in zone.polygon), default=collar + TUBE_LENGTH)
    half = max((x for zone in zones for x, _ in zone.polygon), default=0.0) or _half_at(grid, collar)
    body = ((-half, collar), (half, collar), (half, end), (-half, end))
    part = _Grid(grid.left, collar, grid.across, (end - collar) / (4 * rows), grid.columns, rows)
    dots = part.covered(body)
    lines = _cells(part, [dots], lit[1], Ink.TUBE)
    first = min((column for _, column in dots), default=0) // 2
    last = max((column for _, column in dots), default=1) // 2
    places = WIRE_AT if len(wires) == len(WIRE_AT) else [(n + 0.5) / len(wires) for n in range(len(wires))]
    for number, (wire, place) in enumerate(zip(wires, places, strict=True)):
        # Two wires never share a line, however few lines there are.
        row = min(max(int(place * rows), number), rows - (len(wires) - number))
        shines = wire.id == lit[0]
        for column in range(first, last + 1):
            glyph = "█" if shines else "╞" if column == first else "╡" if column == last else "═"
            lines[row][column] = (glyph, Ink.LIT if shines else Ink.WIRE)
    return [_runs(cells) for cells in lines]


def _half_at(grid: _Grid, collar: float) -> float:
    # Where no zone shows the tube's width, a tube a little narrower than the middle of the picture.
    del collar
    return grid.columns * grid.across * 0.6


def _runs(cells: Sequence[Run]) -> tuple[Run, ...]:
    runs: list[Run] = []
    for glyph, ink in cells:
        if runs and runs[-1][1] is ink:
            runs[-1] = (runs[-1][0] + glyph, ink)
        else:
            runs.append((glyph, ink))
    return tuple(runs)


def _quarters(shines: frozenset[tuple[int, int]], top: int, left: int) -> int:
    if not shines:
        return 0
    on = 0
    for number, (row, column) in enumerate(((0, 0), (0, 1), (2, 0), (2, 1))):
        if (top + row, left + column) in shines or (top + row + 1, left + column) in shines:
            on |= 1 << number
    return on


def _is_edge(owner: dict[tuple[int, int], int], row: int, column: int) -> bool:
    # A border between two zones is drawn on one side only, or it would be two dots thick.
    here = owner[row, column]
    return (
        owner.get((row - 1, column), NOTHING) < here
        or owner.get((row + 1, column), NOTHING) < here
        or owner.get((row, column - 1), NOTHING) < here
        or owner.get((row, column + 1), NOTHING) < here
    )


def _crossings(polygon: Polygon, y: float) -> list[float]:
    if not polygon:
        return []
    return [
        x1 + (y - y1) / (y2 - y1) * (x2 - x1)
        for (x1, y1), (x2, y2) in zip(polygon, (*polygon[1:], polygon[0]), strict=True)
        if (y1 > y) != (y2 > y)
    ]


def area(polygon: Polygon) -> float:
    """Give the area of a polygon."""
    pairs = zip(polygon, (*polygon[1:], *polygon[:1]), strict=True)
    return abs(sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in pairs)) / 2


def _ceil(value: float) -> int:
    return -int(-value // 1)
