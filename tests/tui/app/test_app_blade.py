"""The reed in characters: what is lit is the zone that is meant, and only that."""

import pytest

from kb.ids import ZoneId
from kb.model import Ruleset, Zone
from tui.draw.blade import Drawing, Ink, draw_reed


def lit_cells(drawing: Drawing) -> set[tuple[int, int]]:
    """Give the cells, as (row, column), that are drawn as lit."""
    found = set()
    for row, line in enumerate(drawing.lines):
        column = 0
        for glyphs, ink in line:
            if ink is Ink.LIT:
                found |= {(row, column + n) for n in range(len(glyphs))}
            column += len(glyphs)
    return found


def drawn(zones: tuple[Zone, ...], lit: str | None, columns: int = 40, rows: int = 30) -> Drawing:
    drawing = draw_reed(zones, None if lit is None else ZoneId(lit), columns, rows)
    assert drawing is not None
    return drawing


@pytest.mark.parametrize("columns,rows", [(22, 11), (40, 30), (6, 7), (100, 60)])
def test_a_drawing_stays_within_its_room_and_its_lines_are_even(
    columns: int, rows: int, ruleset: Ruleset
) -> None:
    for zone in (None, *(zone.id for zone in ruleset.zones)):
        drawing = draw_reed(ruleset.zones, zone, columns, rows)
        assert drawing is not None
        lines = drawing.text().split("\n")
        assert len(lines) <= rows
        assert {len(line) for line in lines} == {drawing.columns}
        assert drawing.columns <= columns


def test_nothing_is_lit_unless_a_zone_is_meant(ruleset: Ruleset) -> None:
    assert lit_cells(drawn(ruleset.zones, None)) == set()


@pytest.mark.parametrize("zone", ["tip", "heart", "spine", "back", "wire-one", "wire-two", "wire-three"])
def test_the_meant_zone_is_lit(zone: str, ruleset: Ruleset) -> None:
    assert lit_cells(drawn(ruleset.zones, zone))


def test_the_tip_is_up_and_left_is_on_the_left() -> None:
    blade = Zone(ZoneId("blade"), "Blade", ((-7, 0), (7, 0), (7, 28), (-7, 28)))
    corner = Zone(ZoneId("corner"), "Left corner of the tip", ((-7, 0), (-3, 0), (-3, 4), (-7, 4)))
    drawing = drawn((blade, corner), "corner")
    cells = lit_cells(drawing)
    assert cells
    assert max(row for row, _ in cells) < drawing.blade_rows / 4
    assert max(column for _, column in cells) < drawing.columns / 2


def test_a_lit_zone_is_as_large_as_it_should_be() -> None:
    """Half of the blade is lit: half of its cells are, give or take the border."""
    blade = Zone(ZoneId("blade"), "Blade", ((-7, 0), (7, 0), (7, 28), (-7, 28)))
    half = Zone(ZoneId("half"), "Rear half", ((-7, 14), (7, 14), (7, 28), (-7, 28)))
    drawing = drawn((blade, half), "half")
    share = len(lit_cells(drawing)) / (drawing.columns * drawing.blade_rows)
    assert share == pytest.approx(0.5, abs=1 / drawing.blade_rows)


def test_lit_wires_stand_below_the_blade_in_their_order(ruleset: Ruleset) -> None:
    for rows in (11, 30):
        at = []
        for wire in ("wire-one", "wire-two", "wire-three"):
            drawing = drawn(ruleset.zones, wire, rows=rows)
            (row,) = {row for row, _ in lit_cells(drawing)}
            assert row >= drawing.blade_rows
            at.append(row)
        assert at == sorted(set(at))


def test_a_lit_zone_differs_by_its_shape_and_not_by_colour_alone(ruleset: Ruleset) -> None:
    assert drawn(ruleset.zones, "heart").text() != drawn(ruleset.zones, None).text()
    assert "█" in drawn(ruleset.zones, "heart").text()
    assert "█" not in drawn(ruleset.zones, None).text()


def test_without_polygons_or_room_nothing_is_drawn(ruleset: Ruleset) -> None:
    assert draw_reed((Zone(ZoneId("windway"), "Windway"),), None, 40, 30) is None
    assert draw_reed(ruleset.zones, None, 3, 30) is None
    assert draw_reed(ruleset.zones, None, 40, 5) is None


def test_a_zone_without_height_or_with_three_points_on_a_line_does_no_harm() -> None:
    flat = Zone(ZoneId("flat"), "Flat", ((0, 0), (1, 0), (2, 0)))
    assert draw_reed((flat,), ZoneId("flat"), 20, 20) is None
