"""Lengths in millimetres or inches, as the maker likes. Everything is kept in the quantity's own unit.

Only quantities whose unit is mm are ever turned into inches; all others are shown and typed as they are.
One inch is 25.4 mm exactly (international yard and pound agreement, 1959), worked in decimal numbers
so that nothing is lost by showing what was typed.
"""

import re
from decimal import Decimal
from enum import StrEnum
from typing import Final

MM_PER_INCH: Final = Decimal("25.4")
_MM: Final = "mm"
_NUMBER: Final = re.compile(r"\s*([+-]?(?:[0-9]{1,12}(?:[.,][0-9]{0,12})?|[.,][0-9]{1,12}))\s*(.*?)\s*")
_SCALE: Final = {
    "mm": Decimal(1),
    "millimetre": Decimal(1),
    "millimetres": Decimal(1),
    "millimeter": Decimal(1),
    "millimeters": Decimal(1),
    "cm": Decimal(10),
    "in": MM_PER_INCH,
    "inch": MM_PER_INCH,
    "inches": MM_PER_INCH,
    '"': MM_PER_INCH,
    "″": MM_PER_INCH,
    "thou": MM_PER_INCH / 1000,
    "thousandth": MM_PER_INCH / 1000,
    "thousandths": MM_PER_INCH / 1000,
}
"""Millimetres in one of each word that may follow a typed length."""


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

    A decimal comma is as good as a point. A bare number is in the unit that is shown; a length may
    name its own: mm, cm, in, ", thou.

    >>> typed("1,2", "mm", Length.MM), typed("53.1 thou", "mm", Length.MM), typed("0.05", "mm", Length.INCH)
    (1.2, 1.34874, 1.27)
    """
    found = _NUMBER.fullmatch(text)
    if found is None:
        return None
    number, word = Decimal(found[1].replace(",", ".")), found[2].casefold()
    if unit != _MM:
        return float(number) if word in {"", unit.casefold()} else None
    scale = _SCALE.get(word or ("in" if length is Length.INCH else _MM))
    return None if scale is None else float(number * scale)


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
