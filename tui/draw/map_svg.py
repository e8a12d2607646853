"""The map as a picture: what shows, why, and what helps, on one sheet or on pages of A4.

How strong a link is stands above its beginning, in its author's word and the number, and in the
width of its line. What an entry is tells its sign and its outline, and only then its colour.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final
from xml.etree.ElementTree import Element

from kb.graph import EntryKind, Graph, LinkKind
from kb.model import Answer, Ruleset
from tui.draw.cells import fitted
from tui.draw.harms import worth_drawing
from tui.draw.known import Known
from tui.draw.map_pages import FOOT, HEAD, MARGIN, PAPER, MapPage, share_out
from tui.draw.outline import chance_in_words
from tui.draw.palette import BLUE, GREEN, GREY, ORANGE, SKY, VERMILION, mixed
from tui.draw.sheet import (
    BOX,
    LEFT,
    LINE,
    MARK,
    NOTE_SIZE,
    TITLE_SIZE,
    WIDTH,
    Box,
    Line,
    lay_sheet,
)
from tui.draw.svg import LETTER, Value, add, add_paper, add_text, begin, path, shown, text_width
from tui.draw.terminal import MARKS

LABEL_SIZE: Final = 6.2
HEAD_SIZE: Final = 13.0
BEND: Final = 26.0
"""Room that a line has to turn in after its label."""
SHOWS: Final = "What shows"
WHY: Final = "Why"
HELPS: Final = "What helps"
BRINGS: Final = "What may bring it"
BOTH: Final = "What helps, what harms"
NAMES: Final[Mapping[EntryKind, str]] = {
    EntryKind.SYMPTOM: "symptom",
    EntryKind.SIGN: "sign on the reed",
    EntryKind.CAUSE: "cause",
    EntryKind.REMEDY: "remedy",
    EntryKind.REST: "rest",
}


@dataclass(frozen=True, slots=True)
class _Look:
    """How a kind of entry is drawn."""

    line: str
    fill: str
    corner: float
    dashes: str = ""


LOOKS: Final[Mapping[EntryKind, _Look]] = {
    EntryKind.SYMPTOM: _Look(BLUE, mixed(BLUE, 0.13), 8),
    EntryKind.SIGN: _Look(SKY, mixed(SKY, 0.13), 8),
    EntryKind.CAUSE: _Look(ORANGE, mixed(ORANGE, 0.16), 0),
    EntryKind.REMEDY: _Look(GREEN, mixed(GREEN, 0.14), 2),
    EntryKind.REST: _Look(GREEN, mixed(GREEN, 0.07), 2, "3 2"),
}
ANSWER_SIGNS: Final[Mapping[Answer, str]] = {Answer.YES: "✓", Answer.SLIGHTLY: "~", Answer.NO: "✗"}


def draw_sheet(graph: Graph, known: Known | None = None, part: str = "") -> Element:
    """Draw the whole map on one sheet, as large as it needs; `part` says what of the whole it is."""
    graph = worth_drawing(graph)
    notes = _notes(graph, known, {})
    sheet = lay_sheet(graph, notes)
    width, height = WIDTH + 2 * MARGIN, sheet.height + HEAD + FOOT + 2 * MARGIN
    drawing = begin(width, height, _label(graph, part), unit="pt")
    add_paper(drawing, width, height)
    _head(drawing, graph, part, known)
    _add_map(add(drawing, "g", transform=f"translate({MARGIN} {MARGIN + HEAD})"), graph, notes, known)
    add_legend(drawing, (MARGIN, height - MARGIN - FOOT + 14), known is not None)
    return drawing


def draw_pages(
    graph: Graph, ruleset: Ruleset, known: Known | None = None, part: str = ""
) -> tuple[Element, ...]:
    """Draw the map on pages of A4: on one where it can be read there. `part` says what of the whole it is."""
    noted = frozenset(_notes(graph, known, {}))
    pages = share_out(worth_drawing(graph), ruleset, noted=noted)
    named = [replace(page, part=", ".join(filter(None, (part, page.part)))) for page in pages]
    return tuple(_page(page, number, len(pages), known) for number, page in enumerate(named, start=1))


def draw_map_part(graph: Graph, known: Known | None = None) -> Element:
    """Draw the map without paper, title and legend, for a page that has its own."""
    notes = _notes(graph, known, {})
    sheet = lay_sheet(graph, notes)
    height = sheet.height + 16
    drawing = begin(WIDTH + 2, height, _label(graph, ""))
    body = add(drawing, "g", transform="translate(1 15)")
    _column_heads(body, graph, -6.0)
    _add_map(body, graph, notes, known)
    return drawing


def _page(page: MapPage, number: int, count: int, known: Known | None) -> Element:
    notes = _notes(page.graph, known, page.elsewhere)
    sheet = lay_sheet(page.graph, notes)
    drawing = begin(PAPER[0], PAPER[1], _label(page.graph, page.part), unit="pt")
    add_paper(drawing, *PAPER)
    _head(drawing, page.graph, page.part, known)
    room = PAPER[1] - 2 * MARGIN - HEAD - FOOT
    scale = min((PAPER[0] - 2 * MARGIN) / WIDTH, room / max(sheet.height, 1.0))
    left = (PAPER[0] - WIDTH * scale) / 2
    body = add(drawing, "g", transform=f"translate({left:.2f} {MARGIN + HEAD:.2f}) scale({scale:.4f})")
    _add_map(body, page.graph, notes, known)
    add_legend(drawing, (MARGIN, PAPER[1] - MARGIN - FOOT + 14), known is not None)
    if count > 1:
        place = (PAPER[0] - MARGIN, PAPER[1] - MARGIN)
        add_text(drawing, place, f"page {number} of {count}", NOTE_SIZE + 1, text_anchor="end")
    return drawing


def _label(graph: Graph, part: str) -> str:
    of = f", {part}" if part else ""
    counts = f"{len(graph.entries)} entries and {len(graph.links)} links"
    return f"Map of {graph.title}{of}: what shows, why, and what helps; {counts}"


def _notes(graph: Graph, known: Known | None, elsewhere: Mapping[str, tuple[int, ...]]) -> dict[str, str]:
    notes = {}
    for entry in graph.entries:
        said = known.said_of(entry.id) if known is not None else ""
        pages = elsewhere.get(entry.id, ())
        also = f"also on page {', '.join(map(str, pages))}" if pages else ""
        if said or also:
            notes[entry.id] = "; ".join(filter(None, (said, also)))
    return notes


def _head(drawing: Element, graph: Graph, part: str, known: Known | None) -> None:
    title = fitted(shown(part or graph.title), int(WIDTH / (HEAD_SIZE * LETTER)))
    add_text(drawing, (MARGIN, MARGIN + 13), title, HEAD_SIZE, font_weight="bold")
    below = f"{graph.title}, " * bool(part) + f"{graph.ruleset} {graph.version}"
    if known is not None:
        below += f"; coloured by what is known of the reed {known.name}"
    below = fitted(shown(below), int(WIDTH / ((NOTE_SIZE + 0.5) * LETTER)))
    add_text(drawing, (MARGIN, MARGIN + 25), below, NOTE_SIZE + 0.5, fill=GREY, class_="quiet")
    _column_heads(add(drawing, "g", transform=f"translate({MARGIN} {MARGIN})"), graph, HEAD - 6)


def _column_heads(parent: Element, graph: Graph, base: float) -> None:
    acting = {entry.id for entry in graph.of(EntryKind.REMEDY, EntryKind.REST)}
    helping = {link.source for link in graph.links if link.kind is LinkKind.CURES}
    last = HELPS if acting <= helping else BOTH if acting & helping else BRINGS
    for left, head in zip(LEFT, (SHOWS, WHY, last), strict=True):
        add_text(parent, (left, base), head, TITLE_SIZE + 1, font_weight="bold")


def _add_map(parent: Element, graph: Graph, notes: Mapping[str, str], known: Known | None) -> None:
    sheet = lay_sheet(graph, notes)
    titles = {entry.id: entry.title for entry in graph.entries}
    for line in sheet.lines:
        _add_line(parent, line, titles)
    for box in sheet.boxes:
        _add_box(parent, box, known)


def _add_line(parent: Element, line: Line, titles: Mapping[str, str]) -> None:
    link = line.link
    (x1, y1), (x2, y2) = line.start, line.end
    provokes = link.kind is LinkKind.PROVOKES
    colour = VERMILION if provokes else GREY
    said = f"{'may provoke ' if provokes else ''}{chance_in_words(link.chance, link.word)}"
    group = add(parent, "g", class_="provokes" if provokes else "link")
    add(group, "title", f"{titles[link.source]}: {link.kind.value} {titles[link.target]}, {said}")
    text = fitted(shown(said), int((x2 - x1 - BEND) / (LABEL_SIZE * LETTER)))
    bend = min(x1 + 6 + text_width(text, LABEL_SIZE), x2 - BEND)
    pull = (x2 - bend) * 0.55
    way = path("M", x1 + 4, y1, "L", bend, y1, "C", bend + pull, y1, x2 - pull, y2, x2, y2)
    dashes: dict[str, str] = {"stroke_dasharray": "4 2"} if provokes else {}
    width = 0.4 + 2.0 * link.chance
    add(group, "path", d=way, fill="none", stroke=colour, stroke_width=width, class_="line", **dashes)
    # A blunt end for what makes worse, an arrow for all else.
    end = (
        path("M", x1 + 1.5, y1 - 3, "L", x1 + 1.5, y1 + 3)
        if provokes
        else path("M", x1, y1, "L", x1 + 5, y1 - 2.6, "L", x1 + 5, y1 + 2.6, "Z")
    )
    if provokes:
        add(group, "path", d=end, fill="none", stroke=colour, stroke_width=1.5, class_="line")
    else:
        add(group, "path", d=end, fill=colour, class_="head")
    add_text(group, (x1 + 7, y1 - 1.6 - width / 2), text, LABEL_SIZE, fill=colour, class_="quiet")


def _add_box(parent: Element, box: Box, known: Known | None) -> None:
    entry, look = box.entry, LOOKS[box.entry.kind]
    group = add(parent, "g", class_=f"entry {entry.kind.value}")
    add(group, "title", f"{NAMES[entry.kind]}: {entry.title} ({entry.id})")
    strong = _weight(entry.id, known)
    frame: dict[str, Value] = {"fill": look.fill, "stroke": look.line, "class_": "box"}
    frame |= {"rx": look.corner, "stroke_width": 0.8 + 1.6 * strong}
    dashes: dict[str, str] = {"stroke_dasharray": look.dashes} if look.dashes else {}
    where: dict[str, Value] = {"x": box.left, "y": box.top, "width": BOX, "height": box.height}
    add(group, "rect", **where, **frame, **dashes)
    chance = known.chance(entry.id) if known is not None else None
    if chance is not None:
        bar: dict[str, Value] = {
            "width": (BOX - 2) * chance,
            "height": 2.4,
            "fill": look.line,
            "class_": "bar",
        }
        add(group, "rect", x=box.left + 1, y=box.top + box.height - 3.2, **bar)
    lines = len(box.lines) + bool(box.note)
    base = box.middle - lines * LINE / 2 + TITLE_SIZE - 0.5
    add_text(group, (box.left + 4, base), _sign(box, known), TITLE_SIZE, fill=look.line, class_="sign")
    left = box.left + MARK
    for number, text in enumerate(box.lines):
        add_text(group, (left, base + number * LINE), text, TITLE_SIZE)
    if box.note:
        note = fitted(shown(box.note), int((BOX - MARK - 3) / (NOTE_SIZE * LETTER)))
        place = (left, base + len(box.lines) * LINE)
        add_text(group, place, note, NOTE_SIZE, fill=GREY, font_style="italic", class_="quiet")


def _sign(box: Box, known: Known | None) -> str:
    answer = known.answers.get(box.entry.id) if known is not None else None
    return MARKS[box.entry.kind] if answer is None else ANSWER_SIGNS[answer]


def _weight(id_: str, known: Known | None) -> float:
    """Give how heavy an entry's outline is: what shows, and what is likely, stands out."""
    if known is None:
        return 0.0
    answer = known.answers.get(id_)
    if answer is not None:
        return 1.0 if answer.is_present else 0.0
    return known.chance(id_) or 0.0


def add_legend(parent: Element, at: tuple[float, float], is_known: bool) -> None:  # noqa: FBT001 - one line more
    """Say what signs, outlines and lines mean."""
    x, y = at
    for kind, name in NAMES.items():
        look = LOOKS[kind]
        dashes: dict[str, str] = {"stroke_dasharray": look.dashes} if look.dashes else {}
        frame: dict[str, Value] = {
            "fill": look.fill,
            "stroke": look.line,
            "rx": min(look.corner / 2, 4),
            "class_": f"box {kind.value}",
        }
        add(parent, "rect", x=x, y=y - 8, width=11, height=10, **frame, **dashes)
        add_text(parent, (x + 2, y), MARKS[kind], NOTE_SIZE + 0.5, fill=look.line, class_="sign")
        add_text(parent, (x + 15, y), name, NOTE_SIZE + 0.5)
        x += 26 + text_width(name, NOTE_SIZE + 0.5)
    x, y = at[0], y + 13
    for width, words in ((2.0, "a wide line: strong"), (0.7, "a thin line: weak")):
        add(
            parent,
            "path",
            d=path("M", x, y - 2, "L", x + 22, y - 2),
            stroke=GREY,
            stroke_width=width,
            class_="line",
        )
        add_text(parent, (x + 26, y), words, NOTE_SIZE + 0.5)
        x += 38 + text_width(words, NOTE_SIZE + 0.5)
    dashed: dict[str, Value] = {"stroke": VERMILION, "stroke_width": 1.2, "class_": "line provokes"}
    add(parent, "path", d=path("M", x + 1, y - 2, "L", x + 22, y - 2), stroke_dasharray="4 2", **dashed)
    add(parent, "path", d=path("M", x, y - 5, "L", x, y + 1), **dashed)
    add_text(parent, (x + 26, y), "broken, with a blunt end: may provoke (from 0.05 on)", NOTE_SIZE + 0.5)
    last = "The chances are the author's judgement."
    if is_known:
        last += " ✓ shows, ~ slightly, ✗ does not; the bar in a cause is its chance on this reed."
    add_text(parent, (at[0], y + 13), last, NOTE_SIZE + 0.5, fill=GREY, class_="quiet")
