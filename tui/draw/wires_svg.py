"""Wires: where they sit, seen from the side, and what round, flattened and squeezed mean, from the end.

The picture says what the words of a ruleset mean; which way a wire opens or closes the tip is the
ruleset's to say, since it is not the same for every wire and every instrument.
"""

from collections.abc import Sequence
from enum import Enum
from typing import Final
from xml.etree.ElementTree import Element

from kb.model import Zone
from tui.draw.cells import fitted
from tui.draw.reed_svg import BARK, CANE, CANE_LINE, LIT, WIRE, reed_of
from tui.draw.svg import add, add_text, begin, path, points, shown


class Roundness(Enum):
    """How a wire lies around the tube, seen from the end."""

    ROUND = "round"
    FLAT = "flattened from above and below"
    TALL = "squeezed from the sides"


RADII: Final = {Roundness.ROUND: (17.0, 17.0), Roundness.FLAT: (20.5, 13.0), Roundness.TALL: (13.0, 20.5)}


def draw_roundness(lit: Roundness | None = None) -> Element:
    """Draw a wire from the end in its three shapes, by name; one of them may stand out."""
    drawing = begin(330, 82, "A wire seen from the end: round, flattened from above and below, squeezed")
    for number, (shape, (wide, high)) in enumerate(RADII.items()):
        x = 55.0 + number * 110
        colour, width = (LIT, 4.0) if shape is lit else (WIRE, 2.4)
        look = {"fill": CANE, "stroke": colour, "class_": "wire" if shape is not lit else "lit"}
        add(drawing, "ellipse", cx=x, cy=27, rx=wide, ry=high, stroke_width=width, **look)
        add(
            drawing,
            "ellipse",
            cx=x,
            cy=27,
            rx=wide - 7,
            ry=high - 7,
            fill="none",
            stroke=CANE_LINE,
            class_="line",
        )
        first, *rest = shape.value.split(" from ")
        add_text(drawing, (x, 62), first, 9, text_anchor="middle")
        for words in rest:
            add_text(drawing, (x, 73), f"from {words}", 8, text_anchor="middle")
    return drawing


def draw_side(zones: Sequence[Zone], scale: float = 5.0) -> Element | None:
    """Draw the reed from the side, tip to the left, each wire in its place with its name."""
    reed = reed_of(zones)
    if reed is None or not reed.tube:
        return None
    tip, end = min(y for _, y in reed.blade), max(y for _, y in reed.tube)
    collar = min(y for _, y in reed.tube)
    half = (max(x for x, _ in reed.tube) - min(x for x, _ in reed.tube)) / 2
    base = 4 + half
    height = (base + half + 3) * scale + 13 * len(reed.wires)
    drawing = begin((end - tip + 4) * scale, height, "The reed from the side")
    body = add(drawing, "g", transform=f"scale({scale:g}) translate({2 - tip:.2f} {base:.2f})")
    tube = ((collar, -half), (end, -half * 0.9), (end, half * 0.9), (collar, half))
    add(body, "polygon", points=points(tube), fill=BARK, stroke=CANE_LINE, stroke_width=0.3, class_="bark")
    for side in (-1, 1):
        # Each blade from the collar to the tip: they meet at the sides and stand open at the tip.
        blade = ((collar, side * half), (collar, side * half * 0.45), (tip, side * 0.35), (tip, side * 0.6))
        look = {"fill": CANE, "stroke": CANE_LINE, "class_": "cane"}
        add(body, "polygon", points=points(blade), stroke_width=0.25, **look)
    for number, (wire, at) in enumerate(reed.wires):
        line = path("M", at, -half - 0.6, "L", at, half + 0.6)
        add(body, "path", d=line, stroke=WIRE, stroke_width=0.9, class_="wire")
        below = (base + half + 2) * scale + 13 * (number + 1)
        x = (at + 2 - tip) * scale
        lead = path("M", x, (base + half + 0.8) * scale, "L", x, below - 8)
        add(drawing, "path", d=lead, stroke=WIRE, stroke_width=0.6, class_="wire")
        add_text(drawing, (x + 4, below), fitted(shown(wire.title), 40), 9, text_anchor="end")
    add_text(drawing, (2 * scale, 10), "tip", 9)
    return drawing
