"""The thickness map: both blades from above, each reading at its place with its target and its sign.

A lane runs along the blade; the first lane of a profile is the middle, the last the edge. Readings
of a lane are drawn on both sides alike, since a log names the blade and the lane and no side.
"""

from collections.abc import Mapping, Sequence
from typing import Final
from xml.etree.ElementTree import Element

from kb.model import Profile, Zone
from tui.draw.blade import Polygon
from tui.draw.cells import fitted
from tui.draw.palette import BLUE, GREY
from tui.draw.reed_svg import CANE, CANE_LINE, reed_of
from tui.draw.svg import add, add_text, begin, points, shown
from tui.draw.thickness import Against, Judged, ThicknessReading, blades_of, judge

ACROSS: Final = 21.0
"""Units of the picture in a millimetre across the blade: wider than life, so that figures have room."""
ALONG: Final = 11.0
COLOURS: Final[Mapping[Against, str]] = {
    Against.THIN: BLUE,
    Against.WITHIN: "#00654a",
    Against.THICK: "#a34700",
    Against.UNKNOWN: GREY,
}
"""Blue, green and vermilion, the last two darkened until small figures can be read on cane."""
HEAD: Final = 40.0
FOOT: Final = 22.0
GAP: Final = 24.0


def draw_thickness(
    profile: Profile, zones: Sequence[Zone], readings: Sequence[ThicknessReading]
) -> Element | None:
    """Draw readings and targets of one profile; None where no blade is drawn or nothing can be placed."""
    reed = reed_of(zones)
    if reed is None or not profile.lanes or not (profile.points or readings):
        return None
    blades = blades_of(readings)[:2]
    left, right = min(x for x, _ in reed.blade), max(x for x, _ in reed.blade)
    top, bottom = min(y for _, y in reed.blade), max(y for _, y in reed.blade)
    wide, high = (right - left) * ACROSS, (bottom - top) * ALONG
    width = len(blades) * wide + (len(blades) - 1) * GAP + 16
    drawing = begin(max(width, 400), high + HEAD + FOOT + 12, f"Thickness in {profile.unit}: {profile.title}")
    add_text(
        drawing, (8, 12), fitted(shown(f"{profile.title}, in {profile.unit}"), 48), 10, font_weight="bold"
    )
    judged = judge(profile, readings)
    for number, blade in enumerate(blades):
        x = 8 + number * (wide + GAP)
        if blade:
            add_text(drawing, (x, 28), fitted(shown(blade), 24), 10)
        body = add(drawing, "g", transform=f"translate({x:.2f} {HEAD:.2f})")
        outline = tuple(((px - left) * ACROSS, (py - top) * ALONG) for px, py in reed.blade)
        add(body, "polygon", points=points(outline), fill=CANE, stroke=CANE_LINE, class_="cane")
        here = [one for one in judged if one.reading.blade == blade]
        _add_points(body, profile, outline, here)
    _legend(drawing, high + HEAD + 18)
    return drawing


def _add_points(body: Element, profile: Profile, outline: Polygon, judged: Sequence[Judged]) -> None:
    met = {(one.target.lane, one.target.at) for one in judged if one.target is not None}
    for point in profile.points:
        if (point.lane, point.at) not in met and point.lane in profile.lanes:
            x, y = _place(profile, outline, point.lane, point.at)
            add(body, "circle", cx=x, cy=y, r=1.6, fill="none", stroke=GREY, class_="line")
            add_text(
                body,
                (x, y + 10),
                f"({point.target:g})",
                7.5,
                text_anchor="middle",
                fill=GREY,
                class_="oncane",
            )
    for one in judged:
        if one.reading.lane not in profile.lanes:
            continue
        x, y = _place(profile, outline, one.reading.lane, one.reading.at)
        colour = COLOURS[one.against]
        said = f"{one.against.sign} {one.reading.value:g}"
        look = {"fill": colour, "text_anchor": "middle", "font_weight": "bold", "class_": "oncane"}
        add_text(body, (x, y + 3), said, 9, **look)
        if one.target is not None:
            _add_target(body, (x, y + 12), one.target.target)


def _add_target(body: Element, at: tuple[float, float], target: float) -> None:
    add_text(body, at, f"({target:g})", 7.5, text_anchor="middle", fill=GREY, class_="oncane")


def _place(profile: Profile, outline: Polygon, lane: str, at: float) -> tuple[float, float]:
    """Give where a point of a lane lies: its lane's share of the way from the middle to the right edge."""
    high = max(y for _, y in outline)
    # Only a profile that is measured from the tip can be laid on the blade as it is; others end at its foot.
    y = at * ALONG if profile.datum == "tip" else high - at * ALONG
    y = min(max(y, 4.0), high - 12)
    xs = sorted(
        x1 + (y - y1) / (y2 - y1) * (x2 - x1)
        for (x1, y1), (x2, y2) in zip(outline, (*outline[1:], *outline[:1]), strict=True)
        if (y1 > y) != (y2 > y)
    )
    middle, edge = (xs[0] + xs[-1]) / 2, (xs[-1] - xs[0]) / 2
    share = profile.lanes.index(lane) / max(1, len(profile.lanes) - 1) * 0.78
    return middle + share * edge, y


def _legend(drawing: Element, base: float) -> None:
    words = "  ".join(f"{one.sign} {one.words}" for one in Against if one is not Against.UNKNOWN)
    add_text(drawing, (8, base), f"{words}  ( ) target", 8)
