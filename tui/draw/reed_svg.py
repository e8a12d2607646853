"""The reed as a picture: blade from above with a zone lit, and both blades with their quarters.

Zones are the ruleset's own polygons, in millimetres, so every instrument draws itself. What is lit
has a heavy outline beside its colour, and whoever places the picture names it in words.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final
from xml.etree.ElementTree import Element

from kb.ids import ZoneId
from kb.model import Zone
from tui.draw.blade import TUBE_LENGTH, WIRE_AT, Point, Polygon, area, outline_of
from tui.draw.cells import fitted
from tui.draw.palette import VERMILION, mixed
from tui.draw.svg import LETTER, add, add_text, begin, path, points, shown

CANE: Final = "#f5e8c8"
CANE_LINE: Final = "#5e4a22"
BARK: Final = "#e6d3a3"
WIRE: Final = "#5a5247"
LIT: Final = VERMILION
LIT_FILL: Final = mixed(VERMILION, 0.45, CANE)
EDGE: Final = 1.5
"""Millimetres around a picture."""
SCALE: Final = 3.0
"""Units of the picture in a millimetre."""


@dataclass(frozen=True, slots=True)
class Reed:
    """A reed as its zones tell it."""

    blade: Polygon
    """The outline of the whole blade: the largest zone, tip upwards."""
    tube: Polygon
    """The tube below it; empty where the ruleset has neither wires nor zones there."""
    wires: tuple[tuple[Zone, float], ...]
    """Each wire with its distance from the tip: a picture, not a measure."""

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Its left, top, width and height, in millimetres."""
        every = (*self.blade, *self.tube)
        left, top = min(x for x, _ in every), min(y for _, y in every)
        return left, top, max(x for x, _ in every) - left, max(y for _, y in every) - top


def reed_of(zones: Sequence[Zone]) -> Reed | None:
    """Give the reed that `zones` lie on, or None where none of them has an area."""
    areas = [zone for zone in zones if area(zone.polygon) > 0]
    if not areas:
        return None
    blade = outline_of(areas)
    collar = max(y for _, y in blade)
    wires = sorted((zone for zone in zones if zone.wire is not None), key=lambda zone: zone.wire or 0)
    below = [zone.polygon for zone in areas if min(y for _, y in zone.polygon) >= collar]
    if not wires and not below:
        return Reed(blade, (), ())
    end = max((y for polygon in below for _, y in polygon), default=collar + TUBE_LENGTH)
    width = max(x for x, _ in blade) - min(x for x, _ in blade)
    foot = [x for x, y in blade if y > collar - 0.05 * collar]
    ends = min(foot, default=-width / 3), max(foot, default=width / 3)
    tube = silhouette(below, collar, ends) if below else _box(ends, collar, end)
    places = WIRE_AT if len(wires) == len(WIRE_AT) else [(n + 0.5) / len(wires) for n in range(len(wires))]
    at = [collar + place * (end - collar) for place in places]
    return Reed(blade, tube, tuple(zip(wires, at, strict=True)))


def silhouette(parts: Sequence[Polygon], top: float, ends: tuple[float, float]) -> Polygon:
    """Give the outline around `parts`, which lie below each other, from a top edge that ends at `ends`.

    >>> silhouette([((-1, 4), (1, 4), (2, 9), (-2, 9))], 3, (-1.5, 1.5))
    ((-1.5, 3), (1.5, 3), (1, 4), (2, 9), (-2, 9), (-1, 4))
    """
    levels = sorted({y for part in parts for _, y in part if y > top})
    sides = [(min(at), max(at), y) for y in levels if (at := [x for part in parts for x in _at(part, y)])]
    right, left = [(x, y) for _, x, y in sides], [(x, y) for x, _, y in reversed(sides)]
    return ((ends[0], top), (ends[1], top), *right, *left)


def _at(polygon: Polygon, y: float) -> list[float]:
    """Give where the outline of a polygon stands at a height, corners included."""
    found = [x for x, at in polygon if at == y]
    for (x1, y1), (x2, y2) in zip(polygon, (*polygon[1:], polygon[0]), strict=True):
        if min(y1, y2) < y < max(y1, y2):
            found.append(x1 + (y - y1) / (y2 - y1) * (x2 - x1))
    return found


def _box(ends: tuple[float, float], top: float, bottom: float) -> Polygon:
    return ((ends[0], top), (ends[1], top), (ends[1], bottom), (ends[0], bottom))


def draw_zone(zones: Sequence[Zone], lit: ZoneId | None, label: str, scale: float = SCALE) -> Element | None:
    """Draw the reed from above with one zone lit; None where the ruleset draws no reed."""
    reed = reed_of(zones)
    if reed is None:
        return None
    left, top, width, height = reed.box
    drawing = begin((width + 2 * EDGE) * scale, (height + 2 * EDGE) * scale, label)
    body = add(drawing, "g", transform=_placed(EDGE - left, EDGE - top, scale))
    add_reed(body, reed)
    for zone in zones:
        if zone.id == lit and zone.polygon:
            shape = points(zone.polygon)
            add(body, "polygon", points=shape, fill=LIT_FILL, stroke=LIT, stroke_width=0.55, class_="lit")
    for wire, at in reed.wires:
        _add_wire(body, reed, at, lit=wire.id == lit)
    return drawing


def add_reed(parent: Element, reed: Reed) -> None:
    """Add the bare reed, in millimetres."""
    if reed.tube:
        look = {"fill": BARK, "stroke": CANE_LINE, "class_": "bark"}
        add(parent, "polygon", points=points(reed.tube), stroke_width=0.35, **look)
    look = {"fill": CANE, "stroke": CANE_LINE, "class_": "cane"}
    add(parent, "polygon", points=points(reed.blade), stroke_width=0.35, **look)


def _add_wire(parent: Element, reed: Reed, at: float, *, lit: bool) -> None:
    left, right = min(x for x, _ in reed.tube) - 0.5, max(x for x, _ in reed.tube) + 0.5
    colour, width = (LIT, 2.0) if lit else (WIRE, 0.9)
    way = path("M", left, at, "L", right, at)
    add(parent, "path", d=way, stroke=colour, stroke_width=width, class_="lit" if lit else "wire")


QUARTERS: Final = ("upper left", "upper right", "lower left", "lower right")
"""The maker's: seen with the tip away and the upper blade on top."""
ON_BLADES: Final = (
    ("Upper blade", "upper left", "upper right"),
    ("Lower blade, turned over", "lower right", "lower left"),
)
"""Turned over, left and right change places in the picture, and not on the reed."""
NAMED_WIDTH: Final = 64.0
"""Units that a blade needs for the names of its two quarters side by side."""
MARGIN: Final = 48.0
"""Units beside both blades, for what stands above them."""


def draw_quarters(zones: Sequence[Zone], lit: Sequence[str] = (), scale: float = 5.0) -> Element | None:
    """Draw both blades from outside with their four quarters; those in `lit` stand out."""
    reed = reed_of(zones)
    if reed is None:
        return None
    left, right = min(x for x, _ in reed.blade), max(x for x, _ in reed.blade)
    top, bottom = min(y for _, y in reed.blade), max(y for _, y in reed.blade)
    # Wide enough for the names, however slender the reed: the blade of an oboe is half that of a bassoon.
    scale = max(scale, NAMED_WIDTH / (right - left))
    wide, high, gap, head = (right - left) * scale, (bottom - top) * scale, 90.0, 22.0
    across = 2 * wide + gap + 2 * MARGIN
    drawing = begin(across, high + head + 26, "The four quarters of both blades, by name")
    middle = (left + right) / 2
    for number, (name, one, other) in enumerate(ON_BLADES):
        x = MARGIN + number * (wide + gap)
        _centred(drawing, (x + wide / 2, 14.0), name, 10, font_weight="bold")
        body = add(drawing, "g", transform=f"translate({x:.2f} {head:.2f}) {_placed(-left, -top, scale)}")
        add(
            body,
            "polygon",
            points=points(reed.blade),
            fill=CANE,
            stroke=CANE_LINE,
            stroke_width=0.3,
            class_="cane",
        )
        for quarter, (low, up) in ((one, (left, middle)), (other, (middle, right))):
            if quarter in lit:
                part = clipped(reed.blade, low, up)
                look = {"fill": LIT_FILL, "stroke": LIT, "class_": "lit"}
                add(body, "polygon", points=points(part), stroke_width=0.4, **look)
        line = path("M", middle, top, "L", middle, bottom)
        add(
            body,
            "path",
            d=line,
            stroke=CANE_LINE,
            stroke_width=0.25,
            stroke_dasharray="0.8 0.6",
            class_="line",
        )
        for quarter, place in ((one, 0.27), (other, 0.73)):
            first, second = quarter.split()
            at = x + wide * place
            _centred(drawing, (at, head + high * 0.2), first, 8.5)
            _centred(drawing, (at, head + high * 0.2 + 10), second, 8.5)
        _centred(drawing, (x + wide / 2, head + high + 14), "away from the tip", 8)
    return drawing


def clipped(polygon: Polygon, low: float, high: float) -> Polygon:
    """Give the part of a polygon between two upright lines (Sutherland & Hodgman 1974).

    >>> clipped(((0, 0), (2, 0), (2, 1), (0, 1)), 1, 9)
    ((1.0, 0.0), (2, 0), (2, 1), (1.0, 1.0))
    """
    return _cut(_cut(polygon, low, 1), high, -1)


def _cut(polygon: Polygon, at: float, side: int) -> Polygon:
    kept: list[Point] = []
    for (x1, y1), (x2, y2) in zip((*polygon[-1:], *polygon[:-1]), polygon, strict=True):
        inside, was_inside = side * (x2 - at) >= 0, side * (x1 - at) >= 0
        if inside != was_inside:
            share = (at - x1) / (x2 - x1)
            kept.append((float(at), y1 + share * (y2 - y1)))
        if inside:
            kept.append((x2, y2))
    return tuple(kept)


def _centred(parent: Element, at: Point, text: str, size: float, **values: str) -> None:
    add_text(
        parent, at, fitted(shown(text), int(200 / (size * LETTER))), size, text_anchor="middle", **values
    )


def _placed(x: float, y: float, scale: float) -> str:
    return f"scale({scale:g}) translate({x:.3f} {y:.3f})"
