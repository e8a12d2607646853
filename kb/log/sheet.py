"""Measurements from a table (CSV): read whole, or refused with every bad row named by its line.

The first row names the columns, with the unit in brackets where it is not millimetres: `at (mm)`,
`thickness (thou)`. A table has either the columns of thicknesses (at, lane, thickness; blade and side
where they were told apart) or those of readings (quantity, value). Commas, semicolons and tabs part the
cells; a decimal comma needs one of the latter two, or quotes.
"""

import csv
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from io import StringIO
from typing import Final

from kb.log.entry import Spot
from kb.units import convert, is_unit, with_unit

MOST_ROWS: Final = 20_000
MOST_FAULTS: Final = 20
"""Bad rows that are named; the rest are counted."""
THINNEST, THICKEST = 0.01, 5.0
"""Millimetres between which a blade or a piece of cane can be."""
FARTHEST: Final = 120.0
"""Millimetres along a reed or a strip of gouged cane."""
BLADES: Final = ("upper", "lower")
SIDES: Final = ("left", "right")
_LONGEST_LANE: Final = 64
_HEADER: Final = re.compile(r"\s*([^(\[]*?)\s*(?:[(\[]([^)\]]*)[)\]])?\s*")
_NAMES: Final[Mapping[str, str]] = {
    "at": "at",
    "distance": "at",
    "lane": "lane",
    "thickness": "value",
    "value": "value",
    "blade": "blade",
    "side": "side",
    "quantity": "quantity",
}


@dataclass(frozen=True, slots=True)
class NamedReading:
    """A reading of a quantity, as it stands in a row; whether it is plausible only the ruleset can say."""

    line: int
    quantity: str
    text: str
    """A number, with its unit where the column named one."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """What a table holds. With faults it holds nothing: a table goes in whole or not at all."""

    spots: tuple[Spot, ...] = ()
    readings: tuple[NamedReading, ...] = ()
    faults: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Column:
    name: str
    unit: str


class _Fault(Exception):  # noqa: N818 - what stands in a row, and no fault of ours
    pass


def read_sheet(text: str) -> Sheet:
    """Read a table of measurements."""
    faults: list[str] = []
    readings: list[NamedReading] = []
    repeated: dict[tuple[str, str, str, float], list[float]] = {}
    columns: tuple[_Column, ...] = ()
    for line, cells in _rows(text, faults):
        try:
            if not columns:
                columns = _columns(cells)
            elif any(column.name == "quantity" for column in columns):
                readings.append(_reading(line, columns, cells))
            else:
                place, value = _place(columns, cells)
                repeated.setdefault(place, []).append(value)
        except _Fault as fault:
            faults.append(f"line {line}: {fault}")
            if not columns:
                break
    if not columns and not faults:
        faults.append("there is no row that names the columns")
    elif not faults and not readings and not repeated:
        faults.append("there is no measurement in it")
    if faults:
        more = len(faults) - MOST_FAULTS
        return Sheet(faults=(*faults[:MOST_FAULTS], *((f"and {more} more",) if more > 0 else ())))
    spots = tuple(
        Spot(lane, at, tuple(values), blade, side) for (blade, side, lane, at), values in repeated.items()
    )
    return Sheet(spots, tuple(readings))


def blade_of(text: str) -> str | None:
    """Read which blade is meant; None when it is none of them."""
    return _word(text, BLADES)


def side_of(text: str) -> str | None:
    """Read which side is meant; None when it is neither."""
    return _word(text, SIDES)


def distance(text: str, unit: str = "mm") -> float | None:
    """Read a distance along the reed in millimetres; None when it is none, or cannot be meant."""
    value = _in_mm(text, unit)
    return value if value is not None and 0.0 <= value <= FARTHEST else None


def thickness(text: str, unit: str = "mm") -> float | None:
    """Read a thickness in millimetres; None when it is none, or cannot be meant."""
    value = _in_mm(text, unit)
    return value if value is not None and THINNEST <= value <= THICKEST else None


def _in_mm(text: str, unit: str) -> float | None:
    value = with_unit(text, unit)
    return None if value is None else convert(value, unit, "mm")


def _word(text: str, words: tuple[str, str]) -> str | None:
    given = text.strip().casefold()
    return "" if not given else next((word for word in words if given in {word, word[0]}), None)


def _delimiter(text: str) -> str:
    head = next((line for line in text.splitlines() if line.strip()), "")
    return next((sign for sign in (";", "\t") if sign in head), ",")


def _rows(text: str, faults: list[str]) -> Iterator[tuple[int, list[str]]]:
    rows = csv.reader(StringIO(text), delimiter=_delimiter(text), strict=True)
    count = 0
    while True:
        try:
            cells = next(rows)
        except StopIteration:
            return
        except csv.Error as error:
            faults.append(f"line {rows.line_num}: {error}")
            return
        if any(cell.strip() for cell in cells):
            count += 1
            if count > MOST_ROWS:
                faults.append(f"there are more than {MOST_ROWS} rows")
                return
            yield rows.line_num, cells


def _columns(cells: list[str]) -> tuple[_Column, ...]:
    columns = []
    for cell in cells:
        found = _HEADER.fullmatch(cell)
        name = None if found is None else _NAMES.get(found[1].casefold())
        if found is None or name is None:
            raise _Fault(f"no column is called {cell.strip()!r}; there are {', '.join(_NAMES)}")
        unit = (found[2] or "").strip()
        if name == "at" and not is_unit(unit or "mm", "mm"):
            raise _Fault(f"{unit!r} is no unit for a distance")
        columns.append(_Column(name, unit))
    names = [column.name for column in columns]
    if len(set(names)) < len(names):
        raise _Fault("two columns say the same")
    wanted = {"quantity", "value"} if "quantity" in names else {"at", "lane", "value"}
    if missing := sorted(wanted - set(names)):
        raise _Fault(f"a column is missing: {', '.join(missing)}")
    unit = next(column.unit for column in columns if column.name == "value")
    if "quantity" not in names and not is_unit(unit or "mm", "mm"):
        raise _Fault(f"{unit!r} is no unit for a thickness")
    return tuple(columns)


def _cells(columns: tuple[_Column, ...], cells: list[str]) -> dict[str, tuple[str, str]]:
    if len([cell for cell in cells[len(columns) :] if cell.strip()]) > 0:
        raise _Fault(
            f"it has {len(cells)} cells for {len(columns)} columns; a decimal comma needs ; or quotes"
        )
    filled = [*cells, *[""] * (len(columns) - len(cells))]
    return {column.name: (cell.strip(), column.unit) for column, cell in zip(columns, filled, strict=False)}


def _reading(line: int, columns: tuple[_Column, ...], cells: list[str]) -> NamedReading:
    found = _cells(columns, cells)
    (quantity, _), (number, unit) = found["quantity"], found["value"]
    if not quantity or not number:
        raise _Fault("quantity or value is empty")
    return NamedReading(line, quantity, f"{number} {unit}".strip())


def _place(columns: tuple[_Column, ...], cells: list[str]) -> tuple[tuple[str, str, str, float], float]:
    found = _cells(columns, cells)
    at_text, at_unit = found["at"]
    value_text, value_unit = found["value"]
    at, value = distance(at_text, at_unit or "mm"), thickness(value_text, value_unit or "mm")
    if at is None:
        raise _Fault(f"{at_text!r} is no distance from 0 to {FARTHEST:g} mm")
    if value is None:
        raise _Fault(f"{value_text!r} is no thickness from {THINNEST:g} to {THICKEST:g} mm")
    lane = found["lane"][0]
    if not lane or len(lane) > _LONGEST_LANE:
        raise _Fault("the lane is not said")
    blade, side = blade_of(found.get("blade", ("", ""))[0]), side_of(found.get("side", ("", ""))[0])
    if blade is None:
        raise _Fault(f"{found['blade'][0]!r} is no blade; write upper or lower")
    if side is None:
        raise _Fault(f"{found['side'][0]!r} is no side; write left or right")
    return (blade, side, lane, at), value
