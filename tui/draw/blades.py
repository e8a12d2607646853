"""A reed's blades as a table of thicknesses, drawn with letters: the tip on top, a column for each lane.

▲ thicker than the target allows, ▼ thinner, = within, ≈ too near the edge for this gauge to tell.
"""

from typing import Final

from engine.blades import Blades
from engine.edges import chance_beyond
from engine.thickness import AgainstTarget, Difference, Line
from kb.model import Edge
from kb.units import MM_PER_INCH, Length, number_shown, shown, unit_shown
from tui.draw.cells import padded, wrapped
from tui.draw.literal import literal
from tui.language import worded, worded_later

BLADES: Final = ("upper", "lower", "")
SURE: Final = 0.84
"""A reading one standard deviation past an edge, or within it, is called so."""
_CELL: Final = 9
_HEADS: Final = {
    "upper": worded_later("Upper blade"),
    "lower": worded_later("Lower blade"),
    "": worded_later("Blade not said"),
}
_WORDS: Final = {
    "upper": worded_later("upper"),
    "lower": worded_later("lower"),
    "left": worded_later("left"),
    "right": worded_later("right"),
    "": "",
}
LEGEND: Final = worded_later("▲ too thick, ▼ too thin, = as it should be, ≈ too near the edge to tell.")


def blades_drawn(seen: Blades, width: int, length: Length) -> list[str]:
    """Draw the table and say the differences, in lines of at most `width` cells where they can be."""
    profile = seen.profile
    unit = unit_shown("mm", length)
    lines = [
        *_wrapped(
            worded(
                "Thickness in {unit}, distances in {unit} from the {datum}.", unit=unit, datum=profile.datum
            ),
            width,
        ),
        *_wrapped(worded("Target: {title}.", title=profile.title), width),
    ]
    marks = {(one.line, round(one.at, 3)): mark_of(one) for one in seen.targets}
    for blade in sorted({line.blade for line in seen.lines}, key=BLADES.index):
        of_blade = [line for line in seen.lines if line.blade == blade]
        lines += ["", worded(_HEADS[blade])]
        lines += _table(seen, _across(of_blade, profile.lanes), marks, width, length)
    said = [
        worded(LEGEND),
        *_told(worded("Since it was measured before"), seen.taken, length),
        *_unlike(worded("Left against right"), seen.left_right, length),
        *_unlike(worded("Upper against lower blade"), seen.upper_lower, length),
    ]
    if seen.left_aside:
        said.append(
            worded(
                "{count} readings are counted from elsewhere and cannot be laid beside these.",
                count=seen.left_aside,
            )
        )
    return [*lines, "", *(line for one in said for line in _wrapped(one, width))]


def _wrapped(text: str, width: int) -> tuple[str, ...]:
    return wrapped(text, width, 12)


def _across(lines: list[Line], lanes: tuple[str, ...]) -> list[Line]:
    """Put the lines of a blade in order from left to right: the first lane in the middle."""

    def place(line: Line) -> int:
        lane = lanes.index(line.lane) if line.lane in lanes else len(lanes)
        return -lane - 1 if line.side == "left" else lane + bool(line.side)

    return sorted(lines, key=lambda line: (place(line), line))


def _table(
    seen: Blades, lines: list[Line], marks: dict[tuple[Line, float], str], width: int, length: Length
) -> list[str]:
    each = max([_CELL, *(len(line.lane) + 2 for line in lines)])
    room = max((width - 8) // each, 1)
    drawn: list[str] = []
    for start in range(0, len(lines), room):
        shown_lines = lines[start : start + room]
        sides = (worded(_WORDS.get(line.side, line.side)) for line in shown_lines)
        drawn.append(f"{worded('at'):>7} " + "".join(padded(side, each) for side in sides).rstrip())
        drawn.append("        " + "".join(padded(literal(line.lane), each) for line in shown_lines).rstrip())
        distances = sorted({round(one.at, 3) for line in shown_lines for one in seen.lines[line]})
        for at in distances:
            cells = "".join(padded(_cell(seen, line, at, marks, length), each) for line in shown_lines)
            drawn.append(f"{number_shown(at, 'mm', length):>7} {cells}".rstrip())
    return drawn


def _cell(seen: Blades, line: Line, at: float, marks: dict[tuple[Line, float], str], length: Length) -> str:
    reading = next((one for one in seen.lines[line] if round(one.at, 3) == at), None)
    if reading is None:
        return "·"
    return f"{even(reading.value, length)} {marks.get((line, at), '')}"


def even(value: float, length: Length) -> str:
    """Give a thickness with as many decimals as its neighbours."""
    return f"{value:.2f}" if length is Length.MM else f"{value / float(MM_PER_INCH):.4f}"


def mark_of(one: AgainstTarget) -> str:
    """Give the sign for where a reading lies against its target; `LEGEND` says what signs mean."""
    low, high = one.target - one.tolerance, one.target + one.tolerance
    above = chance_beyond(Edge.ABOVE, low, high, one.reading.value, one.reading.sigma)
    below = chance_beyond(Edge.BELOW, low, high, one.reading.value, one.reading.sigma)
    if above >= SURE:
        return "▲"
    if below >= SURE:
        return "▼"
    return "=" if above + below <= 1.0 - SURE else "≈"


def _told(title: str, differences: tuple[Difference, ...], length: Length) -> list[str]:
    return [
        worded(
            "{title}: {place}, {by} less (± {spread})."
            if one.by > 0
            else "{title}: {place}, {by} more (± {spread}).",
            title=title,
            **_parts(one, length),
        )
        for one in differences
    ]


def _unlike(title: str, differences: tuple[Difference, ...], length: Length) -> list[str]:
    return [
        worded(
            "{title}: {place} is {by} thicker (± {spread})."
            if one.by > 0
            else "{title}: {place} is {by} thinner (± {spread}).",
            title=title,
            **_parts(one, length),
        )
        for one in differences
    ]


def _parts(one: Difference, length: Length) -> dict[str, str]:
    return {
        "place": _place(one.first, one.at, length),
        "by": shown(abs(one.by), "mm", length),
        "spread": shown(2 * one.sigma, "mm", length),
    }


def _place(line: Line, at: float, length: Length) -> str:
    named = (worded(_WORDS.get(one, one)) for one in (line.blade, line.side))
    where = " ".join(part for part in (*named, literal(line.lane)) if part)
    return worded("{where} at {distance}", where=where, distance=shown(at, "mm", length))
