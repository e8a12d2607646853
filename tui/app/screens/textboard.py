"""A ruleset's text laid out: the text in the middle, entries and problems beside it, judged as one writes.

The screen holds one frozen manuscript. Every change is judged a moment later beside the screen, by
the same reader and checks as everywhere. What each key says is in `tui.app.screens.rules`.
"""

import asyncio
from typing import Final

from textual import work
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.screen import Screen
from textual.timer import Timer
from textual.widgets import Static, TextArea

from kb.problem import Problem
from kb.text import SourceText
from tui.app import keys
from tui.app.look import HEIGHTS, WIDTHS
from tui.app.margin import Judged, count_of, judge, passage_rows, problem_row
from tui.app.widgets.keyline import KeyLine
from tui.app.widgets.rowlist import RowList
from tui.draw.literal import literal
from tui.language import worded
from tui.manuscript import Manuscript

PAUSE: Final = 0.3
"""Seconds without a key after which the text is judged."""

MOST: Final = 200
"""Problems that are listed; how many there are is said above."""


class TextBoard(Screen[None]):
    """One ruleset's text, and what stands beside it."""

    CSS_PATH = "rules.tcss"
    HORIZONTAL_BREAKPOINTS = WIDTHS
    VERTICAL_BREAKPOINTS = HEIGHTS

    def __init__(self, page: Manuscript) -> None:
        """Lay this text out."""
        super().__init__()
        self.page = page
        self.judged = Judged()
        self._pause: Timer | None = None
        self._kept = self._begun = page.text
        """What is on disk, and what the field makes of it: its line ends are no change by the author."""

    @property
    def is_unsaved(self) -> bool:
        """Whether something would be lost by leaving."""
        return self.page.is_unsaved

    def compose(self) -> ComposeResult:
        """Name above; entries, text and problems; keys below."""
        yield Static(id="rules-head", markup=False)
        with Horizontal(id="rules"):
            yield RowList(numbered=False, id="passages")
            with Vertical(id="writing"):
                yield TextArea(
                    self.page.text, read_only=self.page.path is None, show_line_numbers=True, id="text"
                )
                yield RowList(numbered=False, id="problems")
        yield KeyLine()

    def on_mount(self) -> None:
        """Judge it as it stands."""
        self._begun = self.text_area.text
        own = keys.READING if self.page.path is None else keys.WRITING
        self.query_one(KeyLine).name_keys(own)
        # A cursor that blinks paints the screen for ever, and disturbs whom movement disturbs.
        self.text_area.cursor_blink = False
        self.text_area.focus()
        self.say()
        self._judge()

    def on_text_area_changed(self, message: TextArea.Changed) -> None:
        """Take the change, and judge it when the author pauses."""
        message.stop()
        was = self.page
        self.page = was.with_text(self._kept if self.text_area.text == self._begun else self.text_area.text)
        if self.page != was:
            self.say()
            if self._pause is not None:
                self._pause.stop()
            self._pause = self.set_timer(PAUSE, self._judge)

    @work(exclusive=True, group="judging")
    async def _judge(self) -> None:
        page = self.page
        judged = await asyncio.to_thread(judge, page)
        if page.text != self.page.text or not self.is_attached:
            return  # the author went on, and a later judgement is on its way; or left
        self.judged = judged
        self.query_one("#passages", RowList).refill(passage_rows(judged, page.name))
        problems = self.query_one("#problems", RowList)
        problems.refill([problem_row(one, page.name) for one in judged.problems[:MOST]])
        problems.display = bool(judged.problems)
        self.say()

    def on_row_list_taken(self, message: RowList.Taken) -> None:
        """Go to the entry or the problem that was taken."""
        message.stop()
        if message.list_id == "passages":
            passage = self.judged.passages[message.index]
            self.go_to(passage.line, passage.column)
        else:
            self.go_to_problem(self.judged.problems[message.index])

    def rewrite(self, text: str) -> None:
        """Make the field say `text`: one change, which can be undone, of the lines that differ."""
        before, after = self.text_area.document.lines, list(SourceText.of("", text).lines)
        if before == after:
            return
        shorter = min(len(before), len(after))
        first = next((n for n in range(shorter) if before[n] != after[n]), shorter)
        last = next((n for n in range(shorter - first) if before[-1 - n] != after[-1 - n]), shorter - first)
        if last == 0:
            # No line follows behind which to stop.
            self.text_area.replace("\n".join(after), (0, 0), (len(before) - 1, len(before[-1])))
        else:
            new = "".join(f"{line}\n" for line in after[first : len(after) - last])
            self.text_area.replace(new, (first, 0), (len(before) - last, 0))
        self.go_to(first + 1, 1)

    def keep(self) -> None:
        """Take the text as it stands for what is on disk."""
        self._kept, self._begun = self.page.text, self.text_area.text
        self.say()

    @property
    def text_area(self) -> TextArea:
        """The field that is written in."""
        return self.query_one("#text", TextArea)

    def go_to_problem(self, problem: Problem) -> None:
        """Put the cursor where a problem is, and say it."""
        if problem.span.file != self.page.name:
            self.notify(
                literal(worded("That stands in another file: {span}", span=problem.span)), markup=False
            )
            return
        self.go_to(problem.span.line, problem.span.column)
        self.notify(literal(f"{problem.message}. {problem.hint}".strip()), markup=False)

    def go_to(self, line: int, column: int) -> None:
        """Put the cursor at a place, both counted from 1."""
        last = self.text_area.document.line_count
        self.text_area.move_cursor((min(line, last) - 1, column - 1), center=True)
        self.text_area.focus()

    def say(self) -> None:
        """Say how the text stands: saved or not, sound or not."""
        page = self.page
        stand = (
            worded("only to read: it ships with canebrake")
            if page.path is None
            else f"● {worded('not saved')}"
            if page.is_unsaved
            else worded("saved")
        )
        self.query_one("#rules-head", Static).update(
            Content.assemble(
                (literal(page.name), "bold"), (f"   {stand}   ", "$quiet"), count_of(self.judged.problems)
            )
        )
