"""Quantities with units: exact factors, typed numbers, and lengths shown as the maker likes them.

Everything is kept in the quantity's own unit; what is typed in another of the same kind is converted with
exact factors. One inch is 25.4 mm and one ounce 28.349523125 g exactly (international yard and pound
agreement, 1959); 0 °C is 32 °F and 100 °C is 212 °F. A pitch in cents and one in hertz are not converted:
that needs a note to count from.
"""

import re
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from typing import Final

MM_PER_INCH: Final = Decimal("25.4")
_MM: Final = "mm"
_NUMBER: Final = re.compile(r"\s*([+-]?(?:[0-9]{1,12}(?:[.,][0-9]{0,12})?|[.,][0-9]{1,12}))\s*(.*?)\s*")
_INCH: Final = Fraction(127, 5)
_KINDS: Final[tuple[dict[str, Fraction], ...]] = (
    {
        **dict.fromkeys(("mm", "millimetre", "millimetres", "millimeter", "millimeters"), Fraction(1)),
        **dict.fromkeys(("cm", "centimetre", "centimetres", "centimeter", "centimeters"), Fraction(10)),
        **dict.fromkeys(("µm", "μm", "um", "micron", "microns"), Fraction(1, 1000)),
        **dict.fromkeys(("in", "inch", "inches", '"', "″"), _INCH),
        **dict.fromkeys(("thou", "thousandth", "thousandths", "mil", "mils"), _INCH / 1000),
    },
    {
        **dict.fromkeys(("s", "sec", "second", "seconds"), Fraction(1, 60)),
        **dict.fromkeys(("min", "minute", "minutes"), Fraction(1)),
        **dict.fromkeys(("h", "hour", "hours"), Fraction(60)),
        **dict.fromkeys(("d", "day", "days"), Fraction(24 * 60)),
    },
    {
        **dict.fromkeys(("g", "gram", "grams", "gramme", "grammes"), Fraction(1)),
        **dict.fromkeys(("mg", "milligram", "milligrams"), Fraction(1, 1000)),
        **dict.fromkeys(("oz", "ounce", "ounces"), Fraction("28.349523125")),
    },
    {
        **dict.fromkeys(("hz", "hertz"), Fraction(1)),
        **dict.fromkeys(("khz", "kilohertz"), Fraction(1000)),
    },
    dict.fromkeys(("cent", "cents", "ct"), Fraction(1)),
    dict.fromkeys(("%", "percent", "per cent"), Fraction(1)),
)
"""Units of one kind, each with how many of the first it is."""
_CELSIUS: Final = frozenset({"°c", "c", "celsius"})
_FAHRENHEIT: Final = frozenset({"°f", "f", "fahrenheit"})


class Length(StrEnum):
    """How the maker likes lengths to be shown."""

    MM = "mm"
    INCH = "inch"


def unit_shown(unit: str, length: Length) -> str:
    """Give the unit that is put after a number: `in` for millimetres when inches are liked."""
    return "in" if unit == _MM and length is Length.INCH else unit


def shown(value: float, unit: str, length: Length) -> str:
    """Give a value with its unit, as the maker likes it.

    >>> shown(1.35, "mm", Length.MM), shown(1.35, "mm", Length.INCH), shown(440, "Hz", Length.INCH)
    ('1.35 mm', '0.0531 in', '440 Hz')
    """
    number, after = number_shown(value, unit, length), unit_shown(unit, length)
    return f"{number} {after}" if after else number


def number_shown(value: float, unit: str, length: Length) -> str:
    """Give the number alone: a thousandth of a millimetre at the finest, a ten-thousandth of an inch."""
    exact = Decimal(repr(float(value)))
    if unit == _MM and length is Length.INCH:
        return _plain(exact / MM_PER_INCH, Decimal("0.0001"))
    return _plain(exact, Decimal("0.001"))


def typed(text: str, unit: str, length: Length) -> float | None:
    """Read a typed value in the quantity's own unit; None when it is not a number of that kind.

    A decimal comma is as good as a point. A bare number is in the unit that is shown; it may name another
    of the same kind: mm, cm, in, ", thou; °C, °F; min, h; g, oz.

    >>> typed("1,2", "mm", Length.MM), typed("53.1 thou", "mm", Length.MM), typed("0.05", "mm", Length.INCH)
    (1.2, 1.34874, 1.27)
    """
    found = _NUMBER.fullmatch(text)
    if found is None:
        return None
    number, word = Fraction(found[1].replace(",", ".").rstrip(".")), found[2].casefold()
    usual = "in" if unit == _MM and length is Length.INCH else unit
    exact = _convert(number, word or usual, unit)
    return None if exact is None else float(exact)


def convert(value: float, unit: str, into: str) -> float | None:
    """Give a value in another unit of the same kind; None when the two are of different kinds.

    >>> convert(21, "thou", "mm"), convert(68, "°F", "°C"), convert(90, "min", "h"), convert(1, "Hz", "mm")
    (0.5334, 20.0, 1.5, None)
    """
    exact = _convert(Fraction(repr(float(value))), unit, into)
    return None if exact is None else float(exact)


def with_unit(text: str, unit: str) -> float | None:
    """Read a number in `unit`, whatever unit of the same kind it names; None when it is none.

    >>> with_unit("0,52mm", "mm"), with_unit("20.5 thou", "mm"), with_unit("3", "mm"), with_unit("3 Hz", "mm")
    (0.52, 0.5207, 3.0, None)
    """
    return typed(text, unit, Length.MM)


def is_unit(unit: str, like: str) -> bool:
    """Whether two units are of one kind, so that the one can be given in the other."""
    return _convert(Fraction(0), unit, like) is not None


def _convert(number: Fraction, unit: str, into: str) -> Fraction | None:
    one, other = unit.casefold().strip(), into.casefold().strip()
    if one == other:
        return number
    for kind in _KINDS:
        if one in kind and other in kind:
            return number * kind[one] / kind[other]
    if one in _FAHRENHEIT and other in _CELSIUS:
        return (number - 32) * 5 / 9
    if one in _CELSIUS and other in _FAHRENHEIT:
        return number * 9 / 5 + 32
    return number if {one, other} <= _CELSIUS or {one, other} <= _FAHRENHEIT else None


def has_unit_or_decimals(text: str) -> bool:
    """Whether a typed text is plainly a measurement, and not the number of an answer in a list.

    >>> [has_unit_or_decimals(text) for text in ("1", "1.0", "1,2", "1 mm", "yes")]
    [False, True, True, True, False]
    """
    found = _NUMBER.fullmatch(text)
    return found is not None and ("." in found[1] or "," in found[1] or found[2] != "")


def _plain(number: Decimal, finest: Decimal) -> str:
    text = f"{number.quantize(finest):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
