"""The reed drawn: zones where the ruleset puts them, openings to scale, quarters and wires by name."""

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from engine.blades import blades
from kb.ids import ProfileId, QuantityId, ZoneId
from kb.load import load_file
from kb.log.entry import Spot, ThicknessMeasured
from kb.model import Profile, Quantity, Ruleset, ThicknessPoint, Zone
from kb.units import Length
from tests.support.published import shipped
from tests.support.running import run_here
from tests.support.small import entry
from tui.draw.blades import blades_drawn
from tui.draw.cells import cells
from tui.draw.opening_svg import SCALE, draw_opening
from tui.draw.readings_svg import Taken, draw_readings
from tui.draw.reed_svg import QUARTERS, clipped, draw_quarters, draw_zone, reed_of
from tui.draw.reed_text import opening_drawn, quarters_drawn, wires_drawn
from tui.draw.svg import LETTER
from tui.draw.thickness_svg import draw_thickness
from tui.draw.wires_svg import Roundness, draw_roundness, draw_side

ROOT = Path(__file__).resolve().parents[2]
OBOE = (  # an invented reed of other proportions: narrow, with one wire and a staple of no zone
    Zone(ZoneId("all"), "Blade", ((-3.4, 0), (3.4, 0), (2.0, 24), (-2.0, 24))),
    Zone(ZoneId("tip"), "Tip", ((-3.4, 0), (3.4, 0), (3.2, 1.5), (-3.2, 1.5))),
    Zone(ZoneId("wire"), "Wire", wire=1),
)
OPENING = Quantity(QuantityId("tip-opening"), "Opening", "mm", (0, 4), (1.1, 1.4))


@cache
def bassoon() -> Ruleset:
    ruleset = load_file(ROOT / "rulesets" / "bassoon.yaml").ruleset
    assert ruleset is not None
    return ruleset


def of_class(drawing: ET.Element | None, name: str) -> list[ET.Element]:
    assert drawing is not None
    return [part for part in drawing.iter() if part.get("class") == name]


def words(drawing: ET.Element | None) -> str:
    assert drawing is not None
    return " ".join("".join(part.itertext()) for part in drawing.iter("text"))


@pytest.mark.parametrize("zone", [zone for zone in bassoon().zones if zone.polygon], ids=lambda zone: zone.id)
def test_a_lit_zone_is_drawn_by_its_own_corners(zone: Zone) -> None:
    lit = of_class(draw_zone(bassoon().zones, zone.id, "x"), "lit")
    assert len(lit) == 1
    corners = [tuple(map(float, pair.split(","))) for pair in lit[0].get("points", "").split()]
    assert corners == [pytest.approx(corner) for corner in zone.polygon]


def test_a_wire_is_lit_in_its_order_from_the_blades() -> None:
    heights = []
    for zone in ("wire-one", "wire-two", "wire-three"):
        lit = of_class(draw_zone(bassoon().zones, ZoneId(zone), "x"), "lit")
        assert len(lit) == 1
        heights.append(float(lit[0].get("d", "").split()[2]))
    assert heights == sorted(heights)
    assert len(set(heights)) == 3


def test_another_instrument_is_drawn_from_its_own_polygons() -> None:
    reed = reed_of(OBOE)
    assert reed is not None
    assert reed.blade == OBOE[0].polygon
    assert len(reed.wires) == 1
    assert reed.box[2] == pytest.approx(6.8)
    assert of_class(draw_zone(OBOE, ZoneId("tip"), "x"), "lit")


def test_a_large_zone_beyond_the_blade_is_no_blade() -> None:
    # The cork of an oboe reed is larger than its blade, and was once taken for it.
    zones = shipped("oboe").zones
    reed = reed_of(zones)
    assert reed is not None
    blade = next(zone for zone in zones if zone.id == "blade")
    assert reed.blade == blade.polygon
    tip, cork = (next(zone for zone in zones if zone.id == name).polygon for name in ("tip", "cork"))
    left, top, width, height = reed.box
    for x, y in (*tip, *cork):
        assert left <= x <= left + width
        assert top <= y <= top + height


def test_the_tube_is_as_wide_at_each_height_as_its_zones() -> None:
    reed = reed_of(shipped("oboe").zones)
    assert reed is not None
    at = {y: x for x, y in reed.tube if x > 0}
    # Thread at the blade, end of the thread, end of the staple, end of the cork.
    assert at[39] < at[46] < at[72]
    assert at[25] < at[72]


@pytest.mark.parametrize("name", ["oboe", "bassoon"])
def test_the_names_of_the_quarters_fit_side_by_side(name: str) -> None:
    drawing = draw_quarters(shipped(name).zones)
    assert drawing is not None
    said = [(float(one.get("x", 0)), one.text or "") for one in drawing.iter() if one.text]
    upper = sorted(x for x, text in said if text == "upper")
    assert upper[1] - upper[0] >= 5 * 8.5 * LETTER


def test_a_ruleset_without_areas_draws_no_reed() -> None:
    assert draw_zone((Zone(ZoneId("x"), "X"),), ZoneId("x"), "x") is None
    assert draw_quarters((), ()) is None
    assert draw_side(()) is None
    assert draw_side(OBOE[:1]) is None


def test_the_quarters_change_sides_where_the_reed_is_turned_over() -> None:
    drawing = draw_quarters(bassoon().zones)
    assert drawing is not None
    texts = [(float(part.get("x", 0)), "".join(part.itertext())) for part in drawing.iter("text")]
    lefts = [x for x, text in texts if text == "left"]
    rights = [x for x, text in texts if text == "right"]
    assert lefts[0] < rights[0]
    assert lefts[1] > rights[1]
    assert len(of_class(draw_quarters(bassoon().zones, QUARTERS[:2]), "lit")) == 2


def test_half_of_a_blade_ends_at_the_middle_line() -> None:
    half = clipped(OBOE[0].polygon, -9, 0)
    assert max(x for x, _ in half) == 0
    assert min(x for x, _ in half) == -3.4


def test_wires_from_the_end_are_told_apart_by_shape_and_word() -> None:
    drawing = draw_roundness(Roundness.FLAT)
    assert all(word in words(drawing) for word in ("round", "flattened", "squeezed"))
    lit = of_class(drawing, "lit")[0]
    assert float(lit.get("rx", 0)) > float(lit.get("ry", 0))
    side = words(draw_side(bassoon().zones))
    assert all(zone.title in side for zone in bassoon().zones if zone.wire)


def lens_height(part: ET.Element) -> float:
    numbers = [float(number) for number in re.findall(r"-?[\d.]+", part.get("d", ""))]
    # M left middle Q centre up right middle Q centre down left middle: a curve reaches half its handle.
    return (numbers[7] - numbers[3]) / 2


@pytest.mark.parametrize("reading, said", [(0.8, "below"), (1.2, "within"), (1.6, "above")])
def test_an_opening_is_drawn_to_scale_against_its_target(reading: float, said: str) -> None:
    drawing = draw_opening(OPENING, reading, 14.4)
    assert lens_height(of_class(drawing, "gap")[0]) / SCALE == pytest.approx(reading, abs=0.01)
    targets = [lens_height(part) / SCALE for part in of_class(drawing, "target")]
    assert targets == [pytest.approx(1.1, abs=0.01), pytest.approx(1.4, abs=0.01)]
    assert said in words(drawing)


@pytest.mark.parametrize("reading, width", [(float("nan"), 14.0), (1.0, 0.0), (-1.0, 14.0), (1e9, 14.0)])
def test_what_is_no_opening_is_not_drawn(reading: float, width: float) -> None:
    assert draw_opening(OPENING, reading, width) is None


def test_readings_stand_in_their_order_above_and_below_the_band_of_their_target() -> None:
    drawing = draw_readings(OPENING, [Taken("11-21", 1.7), Taken("11-22", 1.3), Taken("11-25", 0.9)])
    dots = [(float(part.get("cx", 0)), float(part.get("cy", 0))) for part in of_class(drawing, "dot")]
    band = of_class(drawing, "band")[0]
    top = float(band.get("y", 0))
    bottom = top + float(band.get("height", 0))
    assert [x for x, _ in dots] == sorted(x for x, _ in dots)
    assert dots[0][1] < top < dots[1][1] < bottom < dots[2][1]
    assert draw_readings(OPENING, []) is None
    assert draw_readings(OPENING, [Taken("x", 0.0)]) is not None


def test_thickness_stands_at_its_place_with_its_sign_and_its_target() -> None:
    targets = (ThicknessPoint(10, "spine", 0.5, 0.03), ThicknessPoint(10, "rail", 0.3, 0.03))
    profile = Profile(ProfileId("medium"), "Medium", "mm", "tip", ("spine", "rail"), targets)
    spots = (Spot("spine", 10, (0.62,), "upper"), Spot("rail", 10, (0.2,), "upper", "left"),
             Spot("rail", 10, (0.31,), "lower", "right"))  # fmt: skip
    seen = blades(profile, (entry(1, ThicknessMeasured("tip", spots)),))
    assert seen is not None
    said = " ".join(words(one) for one in draw_thickness(profile, bassoon().zones, seen))
    for part in (
        "▲0.62",
        "▼0.20",
        "=0.31",
        "(0.50)",
        "(0.30)",
        "Upper blade",
        "Lower blade",
        "left",
        "right",
    ):
        assert part in said
    assert "(0.50)" in words(draw_thickness(profile, bassoon().zones)[0])
    assert draw_thickness(profile, ()) == ()


def test_every_target_thickness_has_its_distance_beside_it() -> None:
    ruleset = bassoon()
    for profile in ruleset.thickness:
        (drawing,) = draw_thickness(profile, ruleset.zones)
        texts = [one.text for one in drawing.iter() if one.text]
        assert {f"{point.at:g}" for point in profile.points} <= set(texts)
        assert f"beside it: distance from the {profile.datum}" in texts


def test_left_is_the_makers_left_in_zones_blades_quarters_and_tables(tmp_path: Path) -> None:
    # The tip away, the upper blade on top: common practice at the bench, and what zones are counted in.
    left = Zone(ZoneId("left-half"), "Left half", ((-6, 1), (0, 1), (0, 20), (-4, 20)))
    (lit,) = of_class(draw_zone((*bassoon().zones, left), left.id, left.title), "lit")
    corners = lit.get("points", "").split()
    assert len(corners) >= 4
    assert all(float(corner.split(",")[0]) <= 0 for corner in corners)
    profile = Profile(ProfileId("medium"), "Medium", "mm", "tip", ("spine", "rail"))
    spots = tuple(
        Spot("rail", 10, (value,), "upper", side) for side, value in (("left", 0.3), ("right", 0.4))
    )
    seen = blades(profile, (entry(1, ThicknessMeasured("tip", spots)),))
    assert seen is not None
    places = {
        one.text: float(one.get("x", "nan"))
        for one in draw_thickness(profile, bassoon().zones, seen)[0].iter()
    }
    assert places["0.30"] < places["0.40"]
    table = "\n".join(blades_drawn(seen, 80, Length.MM))
    assert table.index("left") < table.index("right")
    assert table.index("0.30") < table.index("0.40")
    assert QUARTERS[:2] == ("upper left", "upper right")
    told = " ".join(run_here(["reeds", "measure", "--help"], tmp_path).out.split())
    assert "left as the upper blade lies before you, tip away" in told


def test_the_opening_in_characters_is_as_high_as_it_is_to_its_width() -> None:
    lines = opening_drawn(replace(OPENING, target=None), 2.0, 14.0, 56)
    drawn = [line for line in lines if any("\u2800" < sign <= "\u28ff" for sign in line)]
    # 56 cells are 112 dots for 14 mm: 2 mm are 16 dots, four cells.
    assert len(drawn) == 4
    assert max(map(len, drawn)) in {55, 56}
    assert "no target" in lines[-2]
    assert opening_drawn(OPENING, float("nan"), 14.0, 56) == ()


def test_quarters_and_wires_in_characters_have_their_names() -> None:
    plain, lit = "\n".join(quarters_drawn()), "\n".join(quarters_drawn(["lower left"]))
    assert plain.index("Upper blade") < plain.index("Lower blade, turned over")
    assert "▒" in lit
    assert "▒" not in plain
    assert "▒ left ▒" in lit.replace("▒▒", "▒")
    wires = wires_drawn(Roundness.TALL)
    assert all(word in " ".join(wires) for word in ("round", "flattened", "squeezed"))


@pytest.mark.parametrize("width", [40, 80, 120])
def test_all_zones_of_a_ruleset_are_drawn_with_their_titles(width: int, tmp_path: Path) -> None:
    ran = run_here(["zones", "bassoon"], tmp_path, width=width)
    assert ran.code == 0
    assert max(map(cells, ran.out.splitlines())) <= max(width, 64)
    words_seen = ran.out.split()
    for zone in bassoon().zones:
        assert set(zone.title.split()) <= set(words_seen)
    svg = tmp_path / "zones.svg"
    assert run_here(["zones", "bassoon", "-o", str(svg)], tmp_path).code == 0
    assert len(list(ET.parse(svg).iter("{http://www.w3.org/2000/svg}text"))) > len(bassoon().zones)  # noqa: S314 - ours


def test_a_ruleset_that_draws_no_reed_is_told_so(tmp_path: Path) -> None:
    ran = run_here(["zones", str(ROOT / "tests" / "golden" / "penny-whistle-voicing.yaml")], tmp_path)
    assert ran.code == 2
    assert "none of its zones has a polygon" in ran.err
