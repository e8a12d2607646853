"""The reed in characters beyond its blade: quarters, wires from the end, the tip opening to scale.

Fine shapes are drawn with braille signs (2 × 4 dots in a cell), whose dots are about as high as wide, so
that a circle is a circle. What stands out is filled, and named in words below.
"""

from collections.abc import Callable, Iterator, Sequence
from math import isfinite
from typing import Final

from kb.model import Quantity
from kb.units import Length, shown
from tui.draw.blade import BRAILLE, DOTS
from tui.draw.cells import cells, padded, wrapped
from tui.draw.literal import literal
from tui.draw.opening_svg import WIDEST, judged
from tui.draw.reed_svg import ON_BLADES
from tui.draw.wires_svg import RADII, Roundness

Inside = Callable[[float, float], bool]
"""Whether a point, x to the right and y downwards from the middle, lies in a shape."""
WIRE_COLUMNS: Final = 12
WIRE_ROWS: Final = 6


def quarters_drawn(lit: Sequence[str] = ()) -> tuple[str, ...]:
    """Draw both blades with their quarters by name; those in `lit` are filled."""
    blades = []
    for name, left, right in ON_BLADES:
        rows = ["┌" + "─" * 11 + "┬" + "─" * 11 + "┐"]
        words = zip(left.split(), right.split(), strict=True)
        rows += [_quarter_row((one, left in lit), (other, right in lit)) for one, other in [("", ""), *words]]
        rows += [_quarter_row(("", left in lit), ("", right in lit)), "└" + "─" * 11 + "┴" + "─" * 11 + "┘"]
        blades.append(
            [padded(name, 28), *(padded(row, 28) for row in rows), padded("    away from the tip", 28)]
        )
    return tuple("".join(parts).rstrip() for parts in zip(*blades, strict=True))


def _quarter_row(left: tuple[str, bool], right: tuple[str, bool]) -> str:
    return "│" + "│".join(_filled(word, is_lit) for word, is_lit in (left, right)) + "│"


def _filled(word: str, is_lit: bool) -> str:  # noqa: FBT001 - one of two fills
    return f"{f' {word} ' if word else '':{'▒' if is_lit else ' '}^11}"


def wires_drawn(lit: Roundness | None = None) -> tuple[str, ...]:
    """Draw a wire from the end in its three shapes, by name; one of them may be filled."""
    columns = []
    for shape, radii in RADII.items():
        rows = [*braille(WIRE_COLUMNS, WIRE_ROWS, _ring(*radii, is_filled=shape is lit))]
        rows += [*wrapped(shape.value, 20, 2), ""][:2]
        columns.append([padded(row, 22) for row in rows])
    return tuple("".join(parts).rstrip() for parts in zip(*columns, strict=True))


def _ring(wide: float, high: float, *, is_filled: bool) -> Inside:
    """Give a ring within a picture that holds the widest of the three shapes."""
    side = 2 * max(RADII[Roundness.FLAT]) + 2

    def inside(x: float, y: float) -> bool:
        outer = (x * side / wide) ** 2 + (y * side / high) ** 2
        inner = (x * side / (wide - 4)) ** 2 + (y * side / (high - 4)) ** 2
        return outer <= 1 and (is_filled or inner > 1)

    return inside


def opening_drawn(
    quantity: Quantity, reading: float | None, width: float, columns: int, length: Length = Length.MM
) -> tuple[str, ...]:
    """Draw the tip opening to scale, filled, with its target as lines; nothing where it cannot be drawn."""
    target = quantity.target
    sizes = [size for size in (reading, *(target or ())) if size is not None]
    if not sizes or not all(isfinite(size) and 0 <= size <= WIDEST for size in (*sizes, width)) or width <= 0:
        return ()
    dot = width / (2 * columns)  # millimetres of a dot, across and down alike
    rows = int(max(sizes) / dot / 4) + 2

    def apart(x: float, opening: float) -> float:
        """Give half the opening at a distance from the middle: a parabola, as the tip about is."""
        return opening / 2 * max(0.0, 1 - (2 * x) ** 2)

    def inside(x: float, y: float) -> bool:
        down = abs(y) * rows * 4 * dot
        if reading is not None and down <= apart(x, reading):
            return True
        on_line = any(abs(down - apart(x, size)) <= dot / 2 for size in target or ())
        return on_line and int((x + 0.5) * columns * 2) % 4 < 2

    drawn = [line.rstrip() for line in braille(columns, rows, inside)]
    drawn.append("lines: " + _target_words(target, quantity, length) if target else "no target is given")
    if reading is not None:
        drawn.append(f"filled: {shown(reading, quantity.unit, length)}, {judged(reading, target)}")
    return tuple(drawn)


def _target_words(target: tuple[float, float], quantity: Quantity, length: Length) -> str:
    ends = (shown(end, quantity.unit, length) for end in target)
    return f"target, {' to '.join(ends)}"


def braille(columns: int, rows: int, inside: Inside) -> tuple[str, ...]:
    """Fill a shape into cells; x and y run from -0.5 to 0.5 over the whole picture."""
    return tuple(
        "".join(_sign(column, row, columns, rows, inside) for column in range(columns)) for row in range(rows)
    )


def _sign(column: int, row: int, columns: int, rows: int, inside: Inside) -> str:
    marks = 0
    for down in range(4):
        for across in range(2):
            x = (2 * column + across + 0.5) / (2 * columns) - 0.5
            y = (4 * row + down + 0.5) / (4 * rows) - 0.5
            marks += DOTS[down][across] * inside(x, y)
    return chr(BRAILLE + marks) if marks else " "


def beside(blocks: Sequence[tuple[Sequence[str], str]], width: int, each: int) -> Iterator[str]:
    """Set drawings beside each other, as many as fit into `width`, each with its words below."""
    count = max(1, width // each)
    for start in range(0, len(blocks), count):
        some = blocks[start : start + count]
        below = [wrapped(literal(words), each - 2, 3) for _, words in some]
        high, deep = max(len(block) for block, _ in some), max(len(words) for words in below)
        columns = [
            [*block, *[""] * (high - len(block)), *words, *[""] * (deep - len(words))]
            for (block, _), words in zip(some, below, strict=True)
        ]
        for parts in zip(*columns, strict=True):
            yield "".join(part + " " * max(0, each - cells(part)) for part in parts).rstrip()
        yield ""
