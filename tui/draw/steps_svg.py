"""A tree or a chart as a picture, on pages of A4: boxes to follow downwards, in the order of the key.

Rows never break over pages, and a way stays with what it leads to. A step's kind is told by its outline
and a word before it fills its colour; each operation carries its caution on it, where the knife is.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final
from xml.etree.ElementTree import Element

from engine.wording import percent
from tui.draw.cells import fitted, wrapped
from tui.draw.map_pages import MARGIN, PAPER
from tui.draw.palette import BLUE, GREEN, GREY, ORANGE, VERMILION, WHITE, mixed
from tui.draw.steps import CANNOT_BE_UNDONE, Drawing, DrawnStep, Onward, StepKind
from tui.draw.steps_key import GoRow, PartRow, Row, StepRow, WayRow, key_rows
from tui.draw.svg import LETTER, Value, add, add_paper, add_text, begin, path, shown, text_width

SIZE: Final = 8.5
SMALL: Final = 6.5
LINE: Final = 10.6
INDENT: Final = 15.0
"""Points for each depth."""
GAP: Final = 5.0
WIDTH: Final = PAPER[0] - 2 * MARGIN
FOOT: Final = 34.0
TITLE_SIZE: Final = 13.0
MOST_LINES: Final = 6


@dataclass(frozen=True, slots=True)
class _Look:
    """How a kind of step is drawn, and the word that says what it is."""

    word: str
    line: str
    fill: str
    corner: float
    width: float = 0.9
    dashes: str = ""


LOOKS: Final[Mapping[StepKind, _Look]] = {
    StepKind.ASK: _Look("", BLUE, mixed(BLUE, 0.12), 9),
    StepKind.DO: _Look("Do: ", GREEN, mixed(GREEN, 0.14), 1),
    StepKind.CUT: _Look("Do: ", VERMILION, mixed(VERMILION, 0.14), 1, 2.0),
    StepKind.REST: _Look("Rest: ", GREEN, mixed(GREEN, 0.07), 1, 0.9, "3 2"),
    StepKind.END: _Look("", ORANGE, mixed(ORANGE, 0.16), 9),
    StepKind.OPEN: _Look("", GREY, WHITE, 0, 0.6, "1 2"),
}
LEGEND: Final = (
    (StepKind.ASK, "question"),
    (StepKind.DO, "operation"),
    (StepKind.CUT, "cannot be undone"),
    (StepKind.REST, "rest"),
    (StepKind.END, "end"),
)


@dataclass(frozen=True, slots=True)
class _Placed:
    """A row with its height; `holds` when the next row must stand on the same page."""

    row: Row
    height: float
    holds: bool = False


def draw_step_pages(drawing: Drawing) -> tuple[Element, ...]:
    """Draw the steps on pages of A4, as many as it takes."""
    head = _head_height(drawing)
    pages: list[list[_Placed]] = [[]]
    left = PAPER[1] - 2 * MARGIN - FOOT - head
    for block in _blocks(_placed(drawing)):
        height = sum(one.height for one in block)
        if height > left and pages[-1]:
            pages.append([])
            left = PAPER[1] - 2 * MARGIN - FOOT
        pages[-1] += block
        left -= height
    return tuple(_page(drawing, rows, number, len(pages)) for number, rows in enumerate(pages, start=1))


def draw_step_sheet(drawing: Drawing) -> Element:
    """Draw the steps on one sheet, as high as it needs."""
    rows = list(_placed(drawing))
    height = sum(one.height for one in rows) + _head_height(drawing) + FOOT + 2 * MARGIN
    return _sheet(drawing, rows, height, _head_height(drawing))


def _placed(drawing: Drawing) -> Iterator[_Placed]:
    for row in key_rows(drawing):
        match row:
            case PartRow():
                yield _Placed(row, 8.0, holds=True)
            case StepRow(depth, step):
                yield _Placed(row, _box_height(step, _room(depth)) + GAP)
            case GoRow():
                yield _Placed(row, LINE + GAP)
            case WayRow(depth) if row.said is not None:
                yield _Placed(row, _box_height(row.said, _room(depth) - _way_width(row.way)) + GAP)
            case WayRow():
                yield _Placed(row, LINE + GAP, holds=row.is_open)


def _blocks(rows: Iterator[_Placed]) -> Iterator[list[_Placed]]:
    block: list[_Placed] = []
    for one in rows:
        block.append(one)
        if not one.holds:
            yield block
            block = []
    if block:
        yield block


def _room(depth: int) -> float:
    return WIDTH - depth * INDENT


def _page(drawing: Drawing, rows: Sequence[_Placed], number: int, count: int) -> Element:
    page = _sheet(drawing, rows, PAPER[1], _head_height(drawing) if number == 1 else 0.0)
    if count > 1:
        place = (PAPER[0] - MARGIN, PAPER[1] - MARGIN)
        add_text(page, place, f"page {number} of {count}", SMALL + 1, text_anchor="end")
    return page


def _sheet(drawing: Drawing, rows: Sequence[_Placed], height: float, head: float) -> Element:
    page = begin(PAPER[0], height, f"{drawing.title}, drawn as steps", unit="pt")
    add_paper(page, PAPER[0], height)
    if head:
        _add_head(page, drawing)
    y = MARGIN + head
    for one in rows:
        _add_row(page, one, y)
        y += one.height
    x = MARGIN
    for kind, word in LEGEND:
        _add_frame(page, (x, height - MARGIN - 10), (12, 9), kind)
        add_text(page, (x + 16, height - MARGIN - 3), word, SMALL + 0.5)
        x += 28 + text_width(word, SMALL + 0.5)
    return page


def _head_lines(drawing: Drawing) -> tuple[tuple[str, ...], list[str]]:
    title = wrapped(shown(drawing.title), int(WIDTH / (TITLE_SIZE * LETTER)), MOST_LINES)
    cells = int(WIDTH / (7.5 * LETTER))
    sentences = [line for said in drawing.sentences for line in wrapped(shown(said), cells, MOST_LINES)]
    return title, sentences


def _head_height(drawing: Drawing) -> float:
    title, sentences = _head_lines(drawing)
    return len(title) * 16.0 + len(sentences) * 9.5 + 12


def _add_head(page: Element, drawing: Drawing) -> None:
    title, sentences = _head_lines(drawing)
    y = MARGIN
    for line in title:
        y += 16.0
        add_text(page, (MARGIN, y - 3), line, TITLE_SIZE, font_weight="bold")
    for line in sentences:
        y += 9.5
        add_text(page, (MARGIN, y), line, 7.5, fill=GREY, class_="quiet")


def _add_row(page: Element, placed: _Placed, y: float) -> None:
    row = placed.row
    if isinstance(row, PartRow):
        return
    x = MARGIN + row.depth * INDENT
    for depth in range(row.depth):
        at = MARGIN + depth * INDENT + 5
        way = path("M", at, y - GAP / 2, "L", at, y + placed.height - GAP / 2)
        add(page, "path", d=way, stroke=GREY, stroke_width=0.7, class_="line")
    match row:
        case StepRow(depth, step):
            _add_box(page, (x, y), _room(depth), step)
        case GoRow(_, number):
            _add_go(page, (x, y), number)
        case WayRow():
            _add_way(page, (x, y), row.way)
            wide = _way_width(row.way)
            if row.said is not None:
                _add_box(page, (x + wide, y), _room(row.depth) - wide, row.said)
            elif row.go is not None:
                _add_go(page, (x + wide, y), row.go)
            elif row.ends:
                add_text(page, (x + wide, y + SIZE), "the chart ends here", SIZE)


def _add_way(page: Element, at: tuple[float, float], way: Onward) -> None:
    x, y = at
    said = _way(way)
    look = {"fill": WHITE, "stroke": GREY, "class_": "pill"}
    add(page, "rect", x=x, y=y, width=_way_width(way) - 6, height=LINE + 1, rx=5.5, stroke_width=0.7, **look)
    add_text(page, (x + 5, y + SIZE), said, SIZE, font_weight="bold")


def _way_width(way: Onward) -> float:
    return text_width(_way(way), SIZE) + 16


def _way(way: Onward) -> str:
    word = way.word or "then"
    return fitted(shown(word if way.chance is None else f"{word} {percent(way.chance)}"), 36)


def _add_go(page: Element, at: tuple[float, float], number: int) -> None:
    add_text(page, (at[0] + 2, at[1] + SIZE), f"→ go to {number}", SIZE)


def _add_box(page: Element, at: tuple[float, float], room: float, step: DrawnStep) -> None:
    (x, y), lines = at, _box_lines(step, room)
    group = add(page, "g", class_=f"step {step.kind.value}")
    add(group, "title", f"{step.named}; {step.figures}")
    _add_frame(group, at, (_box_width(step, room), _box_height(step, room)), step.kind)
    if step.ways:
        add_text(group, (x + 5, y + SIZE + 2), f"{step.number}", SIZE, font_weight="bold")
    base = y + SIZE + 2
    for text, size, look in lines:
        add_text(group, (x + _lead(step), base), text, size, **look)
        base += LINE


def _add_frame(parent: Element, at: tuple[float, float], size: tuple[float, float], kind: StepKind) -> None:
    look = LOOKS[kind]
    frame: dict[str, Value] = {"fill": look.fill, "stroke": look.line, "class_": f"box {kind.value}"}
    dashes: dict[str, str] = {"stroke_dasharray": look.dashes} if look.dashes else {}
    corner, width = min(look.corner, size[1] / 2), look.width
    where: dict[str, Value] = {"x": at[0], "y": at[1], "width": size[0], "height": size[1]}
    add(parent, "rect", rx=corner, stroke_width=width, **where, **frame, **dashes)


def _lead(step: DrawnStep) -> float:
    return 10 + text_width(str(step.number), SIZE) if step.ways else 6.0


def _box_lines(step: DrawnStep, room: float) -> list[tuple[str, float, dict[str, str]]]:
    """Give the lines of a box with their sizes and looks: what it says, its caution, its figures."""
    wide = room - _lead(step) - 6
    cannot = CANNOT_BE_UNDONE if step.kind is StepKind.CUT else ""
    said = f"{LOOKS[step.kind].word}{step.title}{cannot}"
    found: list[tuple[str, float, dict[str, str]]] = [
        (line, SIZE, {}) for line in wrapped(shown(said), int(wide / (SIZE * LETTER)), MOST_LINES)
    ]
    small = int(wide / (SMALL * LETTER))
    if step.caution:
        cautions = wrapped(shown(f"⚠ Caution: {step.caution}"), small, MOST_LINES)
        found += [(line, SMALL, {"font_weight": "bold"}) for line in cautions]
    if not step.ways:
        return found  # several ways may end here: how many come by this one stands on it
    quiet = {"fill": GREY, "class_": "quiet"}
    found += [(line, SMALL, quiet) for line in wrapped(shown(step.figures), small, 2) if line]
    return found


def _box_width(step: DrawnStep, room: float) -> float:
    widest = max((text_width(text, size) for text, size, _ in _box_lines(step, room)), default=0.0)
    return min(room, widest + _lead(step) + 8)


def _box_height(step: DrawnStep, room: float) -> float:
    return len(_box_lines(step, room)) * LINE + 5
