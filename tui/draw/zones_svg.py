"""All zones of a ruleset on one sheet, with the quarters, the wires and the opening below."""

from typing import Final
from xml.etree.ElementTree import Element

from kb.model import Quantity, Ruleset
from tui.draw.cells import fitted, wrapped
from tui.draw.map_pages import MARGIN
from tui.draw.opening_svg import draw_opening
from tui.draw.palette import GREY
from tui.draw.reed_svg import draw_quarters, draw_zone
from tui.draw.svg import LETTER, add, add_paper, add_text, begin, shown
from tui.draw.wires_svg import draw_roundness, draw_side

WIDTH: Final = 539.0
ACROSS: Final = 6
"""Zones beside each other."""
CELL: Final = WIDTH / ACROSS
PICTURE: Final = 104.0
"""Height of a zone's picture."""
SIZE: Final = 8.0
LINES: Final = 3


def draw_zones(ruleset: Ruleset, opening: Quantity | None, tip: float) -> Element | None:
    """Draw the sheet; None where the ruleset draws no reed. `tip` is the tip's width in millimetres."""
    pictures = [(zone, draw_zone(ruleset.zones, zone.id, zone.title)) for zone in ruleset.zones]
    drawn = [(zone, picture) for zone, picture in pictures if picture is not None]
    if not drawn:
        return None
    cell_height = PICTURE + LINES * 10 + 16
    rows = -(-len(drawn) // ACROSS)
    more = [draw_quarters(ruleset.zones)] if ruleset.blades > 1 else []
    if any(zone.wire is not None for zone in ruleset.zones):
        more += [draw_side(ruleset.zones), draw_roundness()]
    more.append(None if opening is None else draw_opening(opening, None, tip))
    below = [drawing for drawing in more if drawing is not None]
    height = 2 * MARGIN + 44 + rows * cell_height + sum(_size(one)[1] + 18 for one in below)
    sheet = begin(WIDTH + 2 * MARGIN, height, f"The zones of {ruleset.title}", unit="pt")
    add_paper(sheet, WIDTH + 2 * MARGIN, height)
    title = fitted(shown(ruleset.title), int(WIDTH / (13 * LETTER)))
    add_text(sheet, (MARGIN, MARGIN + 13), title, 13, font_weight="bold")
    words = "As the maker sees the reed: the tip away, left on the left."
    add_text(sheet, (MARGIN, MARGIN + 27), words, SIZE, fill=GREY, class_="quiet")
    for number, (zone, picture) in enumerate(drawn):
        x = MARGIN + number % ACROSS * CELL
        y = MARGIN + 44 + number // ACROSS * cell_height
        _place(sheet, picture, (x, y), PICTURE / _size(picture)[1])
        lines = wrapped(shown(zone.title), int((CELL - 6) / (SIZE * LETTER)), LINES)
        for line, text in enumerate(lines):
            add_text(sheet, (x, y + PICTURE + 10 + 10 * line), text, SIZE)
    y = MARGIN + 44 + rows * cell_height
    for drawing in below:
        _place(sheet, drawing, (MARGIN, y), min(1.0, WIDTH / _size(drawing)[0]))
        y += _size(drawing)[1] + 18
    return sheet


def _size(drawing: Element) -> tuple[float, float]:
    return float(drawing.get("width", 0)), float(drawing.get("height", 0))


def _place(sheet: Element, drawing: Element, at: tuple[float, float], scale: float) -> None:
    group = add(sheet, "g", transform=f"translate({at[0]:.2f} {at[1]:.2f}) scale({scale:.4f})")
    group.extend(list(drawing))
