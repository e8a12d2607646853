"""The tip opening from the front, to scale in both directions, with the target that it should lie in."""

from math import isfinite
from typing import Final
from xml.etree.ElementTree import Element

from kb.model import Quantity
from kb.units import Length, shown
from tui.draw.palette import BLUE, GREEN
from tui.draw.reed_svg import CANE, CANE_LINE
from tui.draw.svg import add, add_text, begin, path

SCALE: Final = 16.0
"""Units of the picture in a millimetre."""
CANE_AT_TIP: Final = 0.15
"""Millimetres of cane drawn at the tip: a picture, not a measure."""
WIDEST: Final = 40.0
"""Millimetres beyond which a width or an opening is no reed's, and is not drawn."""


def draw_opening(
    quantity: Quantity, reading: float | None, width: float, length: Length = Length.MM
) -> Element | None:
    """Draw the opening as read (or, without a reading, its target); None where neither can be drawn.

    `width` is that of the tip, in millimetres, like `quantity`.
    """
    target = quantity.target
    sizes = [size for size in (reading, *(target or ())) if size is not None]
    if not sizes or not all(isfinite(size) and 0 <= size <= WIDEST for size in (*sizes, width)) or width <= 0:
        return None
    highest = max(sizes) / 2 * SCALE
    middle, wide = highest + 14, width * SCALE
    drawing = begin(wide + 24, 2 * middle + 46, _words(quantity, reading, length))
    left, right = 12.0, 12.0 + wide
    if reading is not None:
        outer = _lens(left, right, middle, reading / 2 * SCALE + CANE_AT_TIP * SCALE)
        add(drawing, "path", d=outer, fill=CANE, stroke=CANE_LINE, class_="cane")
        inner = _lens(left + 2, right - 2, middle, reading / 2 * SCALE)
        add(drawing, "path", d=inner, fill="#3a3228", stroke=CANE_LINE, class_="gap")
    for size in target or ():
        look = {"fill": "none", "stroke": GREEN, "class_": "target", "stroke_dasharray": "5 3"}
        add(drawing, "path", d=_lens(left + 2, right - 2, middle, size / 2 * SCALE), stroke_width=1.4, **look)
    base = 2 * middle + 10
    if target is not None:
        ends = f"{target[0]:g} to {shown(target[1], quantity.unit, length)}"
        if length is not Length.MM:
            ends = f"{shown(target[0], quantity.unit, length)} to {shown(target[1], quantity.unit, length)}"
        add_text(drawing, (left, base + 4), f"broken lines: target, {ends}", 10)
    if reading is not None:
        said = f"read: {shown(reading, quantity.unit, length)}, {judged(reading, target)}"
        add_text(drawing, (left, base + 18), said, 10, fill=BLUE, font_weight="bold", class_="reading")
    last = base + (32 if reading is not None else 17)
    add_text(drawing, (left, last), "width and height to the same scale", 8)
    return drawing


def judged(reading: float, target: tuple[float, float] | None) -> str:
    """Say where a reading lies against its target.

    >>> judged(1.0, (1.1, 1.4)), judged(1.2, (1.1, 1.4))
    ('▼ below its target', '● within its target')
    """
    if target is None:
        return "no target is given"
    if reading < target[0]:
        return "▼ below its target"
    return "▲ above its target" if reading > target[1] else "● within its target"


def _words(quantity: Quantity, reading: float | None, length: Length) -> str:
    if reading is None:
        return f"{quantity.title}: its target"
    return f"{quantity.title}: {shown(reading, quantity.unit, length)}, {judged(reading, quantity.target)}"


def _lens(left: float, right: float, middle: float, half: float) -> str:
    # A curve through the apex: its handle lies at twice the height.
    centre = (left + right) / 2
    up = ("Q", centre, middle - 2 * half, right, middle)
    return path("M", left, middle, *up, "Q", centre, middle + 2 * half, left, middle, "Z")
