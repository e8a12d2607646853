"""Readings of one quantity through a reed's life, from left to right, with the target as a band."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final
from xml.etree.ElementTree import Element

from kb.model import Quantity
from kb.units import Length, number_shown, shown
from tui.draw.cells import fitted
from tui.draw.palette import BLUE, GREEN, GREY, mixed
from tui.draw.svg import add, add_text, begin, path
from tui.draw.svg import shown as safe

WIDTH: Final = 340.0
HEIGHT: Final = 110.0
LEFT: Final = 50.0
MOST: Final = 24
"""Readings in one picture; of more, the last are drawn."""


@dataclass(frozen=True, slots=True)
class Taken:
    """One reading, and when."""

    when: str
    """Short: a day, a sitting."""
    value: float


def draw_readings(quantity: Quantity, taken: Sequence[Taken], length: Length = Length.MM) -> Element | None:
    """Draw readings against their target; None when there are none."""
    last = taken[-MOST:]
    if not last:
        return None
    values = [one.value for one in last]
    ends: list[float] = [*values, *(quantity.target or ())]
    low, high = min(ends), max(ends)
    margin: float = (high - low) * 0.12 or abs(high) * 0.1 or 1.0
    floor, ceiling = low - margin, high + margin

    def y(value: float) -> float:
        return 8 + (ceiling - value) / (ceiling - floor) * HEIGHT

    said = ", ".join(shown(value, quantity.unit, length) for value in values)
    drawing = begin(WIDTH, HEIGHT + 34, f"{quantity.title}: {said}")
    if quantity.target is not None:
        bottom, top = y(quantity.target[0]), y(quantity.target[1])
        band = {"fill": mixed(GREEN, 0.18), "stroke": GREEN, "class_": "band", "stroke_dasharray": "4 3"}
        add(drawing, "rect", x=LEFT, y=top, width=WIDTH - LEFT - 8, height=max(bottom - top, 1.0), **band)
        for value, base in ((quantity.target[0], bottom + 3), (quantity.target[1], top + 3)):
            figure = number_shown(value, quantity.unit, length)
            add_text(drawing, (LEFT - 4, base), figure, 8, text_anchor="end", fill=GREY, class_="quiet")
    step = (WIDTH - LEFT - 40) / max(1, len(last) - 1)
    places = [(LEFT + 18 + number * step, y(one.value)) for number, one in enumerate(last)]
    way = path(*(part for number, (px, py) in enumerate(places) for part in ("L" if number else "M", px, py)))
    add(drawing, "path", d=way, fill="none", stroke=BLUE, stroke_width=1.2, class_="reading")
    shown_every = max(1, len(last) // 6)
    for number, ((px, py), one) in enumerate(zip(places, last, strict=True)):
        add(drawing, "circle", cx=px, cy=py, r=3, fill=BLUE, class_="dot")
        if number % shown_every == 0 or number == len(last) - 1:
            figure = number_shown(one.value, quantity.unit, length)
            add_text(drawing, (px, py - 6), figure, 8, text_anchor="middle")
            when = fitted(safe(one.when), 12)
            add_text(drawing, (px, HEIGHT + 24), when, 8, text_anchor="middle", fill=GREY, class_="quiet")
    return drawing
