"""Sheets laid over a screen: choose a line, write a line, read a page. Each gives back one value."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import ClassVar, Generic, TypeVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Input, Static

from tui.app import keys
from tui.app.widgets.fitted import Fitted
from tui.app.widgets.keyline import KeyLine
from tui.app.widgets.rowlist import RowList
from tui.app.widgets.stillinput import StillInput
from tui.called import best_first
from tui.language import worded

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Row(Generic[T]):
    """One line to choose, and what choosing it means."""

    value: T
    text: str
    detail: str = ""
    words: str = ""
    """What else it is found by, not shown."""

    def content(self) -> Content:
        """Give it as it is shown."""
        return Content.assemble(self.text, (f"  {self.detail}" if self.detail else "", "$quiet"))


class ChoiceSheet(ModalScreen[T | None], Generic[T]):
    """A searchable list. Typing narrows it, arrows move, Enter takes, Esc goes back."""

    CSS_PATH = "sheet.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [keys.CLOSE]

    def __init__(self, heading: str, rows: Sequence[Row[T]], *, search: bool = False) -> None:
        """Offer `rows` under `heading`; `search` puts a field above them."""
        super().__init__()
        self._heading, self._rows, self._search = heading, tuple(rows), search
        self._kept = self._rows

    def compose(self) -> ComposeResult:
        """Heading, field, list."""
        with Vertical(classes="sheet"):
            yield Static(Content(self._heading), classes="heading", markup=False)
            if self._search:
                yield StillInput(placeholder=worded("Type a few letters"), compact=True)
            yield RowList([row.content() for row in self._rows], numbered=not self._search)
            yield Static("", id="none", markup=False)
            yield KeyLine()

    def on_mount(self) -> None:
        """Put the cursor into the field, or on the list."""
        self.query_one(KeyLine).name_keys([keys.CHOOSE, keys.CLOSE])
        (self.query_one(Input) if self._search else self.query_one(RowList)).focus()

    def on_input_changed(self, message: Input.Changed) -> None:
        """Keep the lines that hold every word typed, in any order, those first that are called so."""
        self._kept = tuple(
            best_first(
                message.value, self._rows, lambda row: row.text, lambda row: f"{row.detail} {row.words}"
            )
        )
        self.query_one(RowList).show([row.content() for row in self._kept])
        self.query_one("#none", Static).update("" if self._kept else worded("Nothing here is called that."))

    def on_input_submitted(self, message: Input.Submitted) -> None:
        """Take the line under the mark."""
        message.stop()
        marked = self.query_one(RowList).highlighted
        if marked is not None and marked < len(self._kept):
            self.dismiss(self._kept[marked].value)

    def key_down(self) -> None:
        """Move the mark while the cursor stays in the field."""
        if isinstance(self.focused, Input):
            self.query_one(RowList).action_cursor_down()

    def key_up(self) -> None:
        """Move the mark while the cursor stays in the field."""
        if isinstance(self.focused, Input):
            self.query_one(RowList).action_cursor_up()

    def on_row_list_taken(self, message: RowList.Taken) -> None:
        """Give back what the line means."""
        message.stop()
        if message.index < len(self._kept):
            self.dismiss(self._kept[message.index].value)

    def action_close(self) -> None:
        """Give back nothing."""
        self.dismiss(None)


class LineSheet(ModalScreen[str | None]):
    """One line of text to write."""

    CSS_PATH = "sheet.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [keys.CLOSE]

    def __init__(self, heading: str, hint: str = "", before: str = "", *, goes_on: bool = False) -> None:
        """Ask for a line; `before` stands in the field already: to be replaced, or (`goes_on`) changed."""
        super().__init__()
        self._goes_on = goes_on
        self._heading, self._hint, self._before = heading, hint, before

    def compose(self) -> ComposeResult:
        """Heading and field."""
        with Vertical(classes="sheet -line"):
            yield Static(Content(self._heading), classes="heading", markup=False)
            yield StillInput(self._before, compact=True, select_on_focus=not self._goes_on)
            yield Static(Content(self._hint), classes="hint", markup=False)
            yield KeyLine()

    def on_mount(self) -> None:
        """Put the cursor into the field."""
        self.query_one(KeyLine).name_keys([keys.KEEP_LINE, keys.CLOSE])
        self.query_one(Input).focus()

    def on_input_submitted(self, message: Input.Submitted) -> None:
        """Give back what was written; an empty line is nothing."""
        message.stop()
        self.dismiss(message.value.strip() or None)

    def action_close(self) -> None:
        """Give back nothing."""
        self.dismiss(None)


class PageSheet(ModalScreen[None]):
    """Something to read."""

    WIDEST: ClassVar = 120
    """Cells of text in a line at most; the styles say it again."""
    CSS_PATH = "sheet.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [keys.CLOSE]

    def __init__(
        self, heading: str, page: Content | Callable[[int], Content], *, drawn: bool = False
    ) -> None:
        """Show `page` under `heading`: as it is, or laid out for the width that there is.

        A drawing gets all of the window's width.
        """
        super().__init__()
        self._heading, self._page, self._drawn = heading, page, drawn

    def compose(self) -> ComposeResult:
        """Heading and page."""
        with Vertical(classes="sheet -drawing" if self._drawn else "sheet -page"):
            yield Static(Content(self._heading), classes="heading", markup=False)
            with VerticalScroll():
                yield (
                    Static(self._page, markup=False) if isinstance(self._page, Content) else _Page(self._page)
                )
            yield KeyLine()

    def on_mount(self) -> None:
        """Let arrows move the page."""
        self.query_one(KeyLine).name_keys([keys.SCROLL, keys.CLOSE])
        self.query_one(VerticalScroll).focus()

    def action_close(self) -> None:
        """Go back."""
        self.dismiss(None)


class _Page(Fitted):
    """A page that is laid out anew when its width changes."""

    def __init__(self, laid_out: Callable[[int], Content]) -> None:
        super().__init__()
        self._laid_out = lru_cache(maxsize=2)(laid_out)

    def content(self, width: int) -> Content:
        return self._laid_out(width)
