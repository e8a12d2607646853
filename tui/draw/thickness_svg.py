"""Thickness of the blades from above: each reading at its place, with its sign, and the targets beside.

A lane runs along the blade; a profile's first lane is the middle, its last the edge. What was measured
without naming a side is drawn on the right. The picture is wider than life, so that figures have room.
"""

from collections.abc import Sequence
from typing import Final
from xml.etree.ElementTree import Element

from engine.blades import Blades
from engine.thickness import Line
from kb.model import Profile, Zone
from kb.units import Length, number_shown, unit_shown
from tui.draw.blade import Point, Polygon
from tui.draw.blades import BLADES, even, mark_of
from tui.draw.palette import BLUE, GREY, INK
from tui.draw.reed_svg import CANE, CANE_LINE, reed_of
from tui.draw.svg import add, add_text, begin, points

ACROSS: Final = 21.0
"""Units of the picture in a millimetre across the blade."""
ALONG: Final = 11.0
"""Units in a millimetre along it."""
COLOURS: Final = {"▲": "#a34700", "▼": BLUE, "=": "#00654a"}
"""Vermilion and green darkened until small figures can be read on cane."""
HEAD: Final = 22.0
FOOT: Final = 53.0
DISTANCES: Final = 26.0
"""Room on the left for how far each target lies from where is measured."""
KEY: Final = ("▲ too thick, ▼ too thin, = as it should be,", "≈ too near the edge to tell, ( ) target")
WIDEST_LINE: Final = 240.0
"""Room that the key needs."""
REACH: Final = 0.8
"""Share of the way from the middle to the edge at which the last lane is drawn."""


def draw_thickness(
    profile: Profile, zones: Sequence[Zone], seen: Blades | None = None, length: Length = Length.MM
) -> tuple[Element, ...]:
    """Draw readings and targets of one profile, a drawing for each blade that was measured.

    Without readings one blade stands with its targets; nothing stands where no blade can be drawn.
    """
    reed = reed_of(zones)
    if reed is None or not profile.lanes or not (profile.points or seen):
        return ()
    xs, ys = [x for x, _ in reed.blade], [y for _, y in reed.blade]
    outline = tuple(((x - min(xs)) * ACROSS, (y - min(ys)) * ALONG) for x, y in reed.blade)
    if seen is None:
        return (_blade(profile, outline, None, "", length),)
    found = dict.fromkeys(line.blade for line in seen.lines)
    return tuple(_blade(profile, outline, seen, blade, length) for blade in BLADES if blade in found)


def _blade(profile: Profile, outline: Polygon, seen: Blades | None, blade: str, length: Length) -> Element:
    wide, high = max(x for x, _ in outline), max(y for _, y in outline)
    name = f"{blade.capitalize()} blade" if blade else "Blade"
    label = f"{name}, thickness in {unit_shown('mm', length)}: {profile.title}"
    room = max(wide, WIDEST_LINE) + 16
    drawing = begin(room + DISTANCES, high + HEAD + FOOT, label)
    add_text(drawing, (8, 13), f"{name}, in {unit_shown('mm', length)}", 11, font_weight="bold")
    left = DISTANCES + (room - wide) / 2
    body = add(drawing, "g", transform=f"translate({left:.2f} {HEAD:.2f})")
    add(body, "polygon", points=points(outline), fill=CANE, stroke=CANE_LINE, class_="cane")
    _add_targets(body, profile, outline, seen, length)
    if seen is not None:
        _add_readings(body, seen, blade, outline, length)
        for side, at in (("left", wide * 0.03), ("right", wide * 0.97)):
            # Said, and not left to the eye: a blade that is turned over changes sides.
            add_text(body, (at, high + 10), side, 9, text_anchor="middle", fill=GREY, class_="quiet")
    for number, words in enumerate((*KEY, f"beside it: distance from the {profile.datum}")):
        add_text(drawing, (8, high + HEAD + 26 + 11 * number), words, 9)
    return drawing


def _add_targets(
    body: Element, profile: Profile, outline: Polygon, seen: Blades | None, length: Length
) -> None:
    for at in sorted({point.at for point in profile.points if point.lane in profile.lanes}):
        # A target without its distance is a figure for anywhere.
        _, y = _place(profile, outline, Line("", "", profile.lanes[0]), at)
        said = number_shown(at, "mm", length)
        add_text(body, (-5.0, y + 3), said, 8, text_anchor="end", fill=GREY, class_="quiet")
    met = set() if seen is None else {(one.line.lane, round(one.at, 3)) for one in seen.targets}
    for point in profile.points:
        if point.lane in profile.lanes:
            x, y = _place(profile, outline, Line("", "", point.lane), point.at)
            below = 12 if (point.lane, round(point.at, 3)) in met else 3
            target = f"({even(point.target, length)})"
            add_text(body, (x, y + below), target, 7.5, text_anchor="middle", fill=GREY, class_="oncane")


def _add_readings(body: Element, seen: Blades, blade: str, outline: Polygon, length: Length) -> None:
    signs = {(one.line, round(one.at, 3)): mark_of(one) for one in seen.targets}
    for line, readings in seen.lines.items():
        if line.blade != blade or line.lane not in seen.profile.lanes:
            continue
        for reading in readings:
            x, y = _place(seen.profile, outline, line, reading.at)
            sign = signs.get((line, round(reading.at, 3)), "")
            look = {"fill": COLOURS.get(sign, INK), "text_anchor": "middle", "class_": "oncane"}
            add_text(body, (x, y + 3), f"{sign}{even(reading.value, length)}", 9, font_weight="bold", **look)


def _place(profile: Profile, outline: Polygon, line: Line, at: float) -> Point:
    high = max(y for _, y in outline)
    # A profile that is not measured from the tip begins at the blade's other end.
    y = at * ALONG if profile.datum == "tip" else high - at * ALONG
    y = min(max(y, 6.0), high - 14)
    xs = sorted(
        x1 + (y - y1) / (y2 - y1) * (x2 - x1)
        for (x1, y1), (x2, y2) in zip(outline, (*outline[1:], *outline[:1]), strict=True)
        if (y1 > y) != (y2 > y)
    )
    middle, edge = (xs[0] + xs[-1]) / 2, (xs[-1] - xs[0]) / 2
    share = profile.lanes.index(line.lane) / max(1, len(profile.lanes) - 1) * REACH
    return (middle - share * edge if line.side == "left" else middle + share * edge), y
