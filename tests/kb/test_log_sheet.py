"""Tables of measurements: read whole, or refused with every bad row named by its line."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.log.entry import Spot
from kb.log.sheet import MOST_ROWS, read_sheet


def faults(text: str) -> list[str]:
    sheet = read_sheet(text)
    assert not (sheet.faults and (sheet.spots or sheet.readings))
    return list(sheet.faults)


@pytest.mark.parametrize(
    "text",
    [
        "at,lane,thickness,blade,side\n10,spine,0.52,,\n10,rail,0.4,upper,left\n",
        "At (mm);Lane;Thickness (mm);Blade;Side\r\n10;spine;0,52;;\r\n\r\n10;rail;0,4;U;L\r\n",
        "side\tblade\tlane\tvalue [mm]\tdistance (cm)\n\t\tspine\t0,52\t1\nleft\tupper\trail\t0.4\t1,0\n",
        'at,lane,thickness,blade,side\n"10,0",spine,"0,52mm",,\n1cm,rail,0.4 mm,upper,left\n',
    ],
)
def test_the_same_places_are_read_however_the_table_is_written(text: str) -> None:
    sheet = read_sheet(text)
    assert sheet.faults == ()
    assert sheet.spots == (Spot("spine", 10.0, (0.52,)), Spot("rail", 10.0, (0.4,), "upper", "left"))


def test_a_place_that_stands_there_again_was_measured_again_and_thou_are_converted() -> None:
    sheet = read_sheet("at,lane,thickness (thou)\n10,spine,20\n10.0,spine,21\n")
    assert sheet.spots == (Spot("spine", 10.0, (0.508, 0.5334)),)


def test_readings_of_quantities_are_named_by_their_line() -> None:
    sheet = read_sheet("quantity,value\ntip-opening,1.35 mm\n\nroom-humidity,48\n")
    assert [(one.line, one.quantity, one.text) for one in sheet.readings] == [
        (2, "tip-opening", "1.35 mm"),
        (4, "room-humidity", "48"),
    ]


def test_every_bad_row_is_named_and_nothing_is_taken() -> None:
    told = faults(
        "at;lane;thickness;blade;side\n"
        "10;spine;0,52;;\n"
        "x;spine;0,52;;\n"
        "10;;0,52;;\n"
        "10;spine;52;;\n"
        "10;spine;nan;;\n"
        "10;spine;0,5;middle;\n"
        "10;spine;0,5;;up\n"
        "500;spine;0,5;;\n"
        "10;spine;0,5;;;;more\n"
    )
    assert [fault.partition(":")[0] for fault in told] == [f"line {number}" for number in range(3, 11)]


@pytest.mark.parametrize(
    "text, part",
    [
        ("", "no row that names the columns"),
        ("at,lane,thickness\n", "no measurement"),
        ("at,lane\n10,spine\n", "a column is missing: value"),
        ("at,lane,depth\n", "no column is called 'depth'"),
        ("at,at,lane,value\n", "two columns say the same"),
        ("at (Hz),lane,value\n", "'Hz' is no unit for a distance"),
        ("at,lane,value (g)\n", "'g' is no unit for a thickness"),
        ("at,lane,thickness\n10,spine,0,52\n", "a decimal comma needs ; or quotes"),
        ('at,lane,thickness\n10,"spine,0.5\n', "line"),
        ("at,lane,thickness\n" + "10,spine,0.5\n" * (MOST_ROWS + 1), f"more than {MOST_ROWS} rows"),
    ],
)
def test_what_is_no_table_is_said(text: str, part: str) -> None:
    assert part in " ".join(faults(text))


def test_many_bad_rows_are_counted_and_not_all_listed() -> None:
    told = faults("at,lane,thickness\n" + "x,spine,0.5\n" * 500)
    assert len(told) == 21
    assert told[-1] == "and 480 more"


@given(st.text(max_size=200))
def test_any_text_is_read_or_refused(text: str) -> None:
    sheet = read_sheet(text)
    assert sheet.faults or sheet.spots or sheet.readings
