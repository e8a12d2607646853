"""Three columns of the map: what shows, why, what helps; the marked entry and what it is linked with."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from textual.content import Content
from textual.events import Click
from textual.message import Message
from textual.widget import Widget

from tui.app.marks import UNASKED, Mark, Marks
from tui.app.walk import COLUMNS, HEADS, Walk, WalkRow
from tui.draw.cells import cells, fitted, padded, wrapped
from tui.draw.literal import literal
from tui.draw.outline import chance_in_words
from tui.draw.terminal import MARKS, stroke_of
from tui.language import worded, worded_later

GAP: Final = 2
"""Cells between two columns."""
LEAST: Final = 64
"""Cells from which three columns stand side by side; below, only the one with the mark."""
TITLE_LINES: Final = 3
TWO_LINES: Final = 20
"""Lines of height from which the marked entry's own column gives every title two of them."""
HARMS: Final = {COLUMNS[1]: worded_later("It may bring on"), COLUMNS[2]: worded_later("May bring it on")}
"""What stands over the links that may provoke, by the column that they stand in."""


@dataclass(frozen=True, slots=True)
class Shown:
    """One line of one column, and the entry that it belongs to."""

    content: Content
    id: str = ""


class MapColumns(Widget):
    """A walk, drawn. Clicks go up as the id that was meant."""

    walk: Walk | None = None
    marks: Marks = Marks()

    @dataclass
    class Pointed(Message):
        """An entry was clicked."""

        id: str

    def show(self, walk: Walk, marks: Marks) -> None:
        """Show where the walk is."""
        self.walk, self.marks = walk, marks
        self.refresh()

    def render(self) -> Content:
        """Lay the columns side by side."""
        width, height = self.content_size
        if self.walk is None or height < 1:
            return Content("")
        if not self.walk.at:
            return Content.styled(
                worded("This ruleset names no symptom, no cause and no remedy yet."), "$quiet"
            )
        room = _room(width)
        columns = [self._column(at, room, height) for at in self._shown_columns(width)]
        lines = []
        for row in zip(*columns, strict=True):
            parts = [_padded(one.content, room) for one in row[:-1]]
            lines.append(Content(" " * GAP).join([*parts, row[-1].content]))
        return Content("\n").join(lines)

    def on_click(self, event: Click) -> None:
        """Say which entry was meant."""
        event.stop()
        width, height = self.content_size
        at, columns = event.get_content_offset(self), self._shown_columns(width)
        if self.walk is None or at is None:
            return
        number = min(len(columns) - 1, at.x // (_room(width) + GAP))
        lines = self._column(columns[number], _room(width), height)
        if at.y < len(lines) and lines[at.y].id:
            self.post_message(self.Pointed(lines[at.y].id))

    def _shown_columns(self, width: int) -> tuple[int, ...]:
        if width >= LEAST or self.walk is None:
            return tuple(range(len(COLUMNS)))
        return (self.walk.column,)

    def _column(self, column: int, width: int, height: int) -> list[Shown]:
        """Give exactly `height` lines: a head, the rows, and how many there was no room for."""
        assert self.walk is not None  # noqa: S101 - render and on_click look first
        rows, own = self.walk.rows(column), column == self.walk.column
        count = sum(not row.is_harm for row in rows)
        head = f"{worded(HEADS[column])} ({count})" if count else worded(HEADS[column])
        lines = [
            Shown(
                Content.styled(
                    fitted(head, width), "bold underline $foreground" if own else "underline $quiet"
                )
            )
        ]
        if not count:
            lines.append(Shown(Content.styled(fitted(worded("nothing linked with it"), width), "$quiet")))
        own_lines = 2 if height >= TWO_LINES else 1
        blocks = [self._row(row, width, own_lines if own else TITLE_LINES) for row in rows]
        if count < len(rows):
            apart = Shown(Content.styled(fitted(worded(HARMS[COLUMNS[column]]), width), "italic $quiet"))
            blocks[count] = [apart, *blocks[count]]
        marked = next((at for at, row in enumerate(rows) if row.entry.id == self.walk.at), 0)
        lines += _window(blocks, marked, height - len(lines), width)
        return [*lines, *[Shown(Content(""))] * (height - len(lines))][:height]

    def _row(self, row: WalkRow, width: int, most: int) -> list[Shown]:
        entry = row.entry
        mark = self.marks.of(entry.id)
        sign = mark.sign if mark is not None else MARKS[entry.kind]
        is_marked = self.walk is not None and entry.id == self.walk.at
        stroke = stroke_of(row.link) if row.link is not None else "·" if row.through else " "
        lead = f"{'▸' if is_marked else stroke}{sign} "
        title = wrapped(entry.title, max(4, width - cells(lead)), TITLE_LINES if is_marked else most)
        style = "bold $foreground on $cap" if is_marked else "bold" if mark is not None and mark.loud else ""
        lines = []
        for number, text in enumerate(title):
            front = lead if number == 0 else " " * cells(lead)
            lines.append(Content.styled(padded(front + text, width), style))
        words = _words(row, mark) if is_marked or most == TITLE_LINES else []
        if words:
            under = f"{' ' * cells(lead)}{fitted(literal(' · '.join(words)), width - cells(lead))}"
            loud = mark is not None and mark.loud
            lines.append(
                Content.styled(
                    padded(under, width), f"{'$now' if loud else '$quiet'}{' on $cap' if is_marked else ''}"
                )
            )
        return [Shown(line, entry.id) for line in lines]


def _words(row: WalkRow, mark: Mark | None) -> list[str]:
    """Say what is known of the entry, and how strongly it is linked with the marked one."""
    words = (
        []
        if mark is None or mark.sign == UNASKED.sign
        else [mark.brief if row.link is not None else mark.word]
    )
    if row.link is not None:
        words.append(chance_in_words(row.link.chance, row.link.word))
    return words


def _room(width: int) -> int:
    return width if width < LEAST else (width - GAP * (len(COLUMNS) - 1)) // len(COLUMNS)


def _window(blocks: Sequence[Sequence[Shown]], marked: int, height: int, width: int) -> list[Shown]:
    """Give the lines round the marked block; where some are left out, a line says how many."""
    if sum(map(len, blocks)) <= height:
        return [line for block in blocks for line in block]
    first = last = marked
    used = len(blocks[marked]) + 2
    while True:
        above, below = first > 0, last < len(blocks) - 1
        # Two below for one above: one reads downwards.
        if (
            below
            and (last - marked <= 2 * (marked - first) or not above)
            and used + len(blocks[last + 1]) <= height
        ):
            last += 1
            used += len(blocks[last])
        elif above and used + len(blocks[first - 1]) <= height:
            first -= 1
            used += len(blocks[first])
        elif below and used + len(blocks[last + 1]) <= height:
            last += 1
            used += len(blocks[last])
        else:
            break
    lines = [line for block in blocks[first : last + 1] for line in block]
    more = [_more(first, "↑", width), *lines, _more(len(blocks) - 1 - last, "↓", width)]
    return [line for line in more if line.content.plain]


def _more(count: int, arrow: str, width: int) -> Shown:
    return Shown(
        Content.styled(fitted(f"{arrow} {worded('{count} more', count=count)}", width), "$quiet")
        if count
        else Content("")
    )


def _padded(content: Content, width: int) -> Content:
    return Content.assemble(content, " " * max(0, width - content.cell_length))
