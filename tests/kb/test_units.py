"""Lengths as the maker likes them.

Outside: 25.4 mm to the inch exactly (international yard and pound agreement, 1959). The ten-cent coin
of 1.35 mm is in the United States Mint's coin specifications; 0.053 in is the quotient by hand.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.units import Length, has_unit_or_decimals, number_shown, shown, typed, unit_shown


@pytest.mark.parametrize(
    "text, expected",
    [
        ("1.35", 1.35),
        ("1,35", 1.35),
        (" 1.35 mm ", 1.35),
        ("1.35mm", 1.35),
        (",5", 0.5),
        ("1 in", 25.4),
        ('0.05"', 1.27),
        ("53 thou", 1.3462),
        ("53 thousandths", 1.3462),
        ("0,1 cm", 1.0),
        ("2.", 2.0),
        ("-1", -1.0),
    ],
)
def test_a_length_is_read_in_millimetres_whatever_it_is_typed_in(text: str, expected: float) -> None:
    assert typed(text, "mm", Length.MM) == expected


@pytest.mark.parametrize(
    "text", ["", "yes", "1.2.3", "1 Hz", "1,000.5", "nan", "inf", "1e5", "١", "9" * 40, "--1"]
)
def test_what_is_no_length_is_not_read_as_one(text: str) -> None:
    assert typed(text, "mm", Length.MM) is None


def test_a_bare_number_is_in_the_unit_that_is_shown() -> None:
    assert typed("0.05", "mm", Length.INCH) == 1.27
    assert typed("1.27 mm", "mm", Length.INCH) == 1.27


def test_only_millimetres_become_inches() -> None:
    assert shown(440.0, "Hz", Length.INCH) == "440 Hz"
    assert typed("440", "Hz", Length.INCH) == 440.0
    assert typed("440 hz", "Hz", Length.INCH) == 440.0
    assert typed("440 mm", "Hz", Length.INCH) is None
    assert unit_shown("Hz", Length.INCH) == "Hz"
    assert shown(3.0, "", Length.MM) == "3"


def test_the_ten_cent_coin_is_53_thousandths_of_an_inch_thick() -> None:
    assert shown(1.35, "mm", Length.MM) == "1.35 mm"
    assert number_shown(1.35, "mm", Length.INCH)[:5] == "0.053"


@given(st.integers(1, 4000))
def test_a_length_typed_to_the_ten_thousandth_of_an_inch_is_shown_as_typed(ten_thousandths: int) -> None:
    text = f"{ten_thousandths / 10000:.4f}"
    value = typed(text, "mm", Length.INCH)
    assert value is not None
    assert float(number_shown(value, "mm", Length.INCH)) == float(text)


@given(st.integers(0, 99999))
def test_a_length_typed_to_the_thousandth_of_a_millimetre_is_shown_as_typed(thousandths: int) -> None:
    text = f"{thousandths / 1000:.3f}"
    value = typed(text, "mm", Length.MM)
    assert value == float(text)
    assert float(number_shown(value, "mm", Length.MM)) == float(text)


@given(st.text(max_size=20))
def test_reading_any_text_never_fails(text: str) -> None:
    for length in Length:
        value = typed(text, "mm", length)
        assert value is None or abs(value) < 1e15
    assert has_unit_or_decimals(text) in {True, False}


@pytest.mark.parametrize(
    "text, unit",
    [
        ("4 minutes", "min"),
        ("4 min", "min"),
        ("4 min", "minutes"),
        ("4 hours", "h"),
        ("4 percent", "%"),
        ("4%", "%"),
        ("4 hertz", "Hz"),
    ],
)
def test_a_unit_may_be_spelt_out(text: str, unit: str) -> None:
    assert typed(text, unit, Length.MM) == 4.0


@pytest.mark.parametrize("text, unit", [("4 mm", "Hz"), ("4 minuets", "min"), ("4 hertz", "h")])
def test_another_unit_is_not_taken_for_it(text: str, unit: str) -> None:
    assert typed(text, unit, Length.MM) is None
