"""A short list to take a line from: by its number, by arrow and Enter, by mouse."""

from collections.abc import Sequence
from dataclasses import dataclass

from textual.content import Content
from textual.events import Key
from textual.message import Message
from textual.widgets import OptionList
from textual.widgets.option_list import Option

NUMBERED = 9


class RowList(OptionList):
    """Lines, the first nine numbered."""

    @dataclass
    class Taken(Message):
        """A line was taken; `index` counts from 0."""

        index: int
        list_id: str = ""
        """Of which list, where a screen has several."""

    def __init__(
        self,
        rows: Sequence[str | Content] = (),
        *,
        numbered: bool = True,
        id: str | None = None,  # noqa: A002 - Textual's name
    ) -> None:
        """Hold these lines; `numbered` unless the digits are wanted elsewhere."""
        super().__init__(*_options(rows, numbered=numbered), markup=False, compact=True, id=id)
        self._numbered = numbered
        self._rows = tuple(rows)

    def show(self, rows: Sequence[str | Content]) -> None:
        """Hold other lines, the mark on the first."""
        self._rows = tuple(rows)
        self.clear_options()
        self.add_options(_options(rows, numbered=self._numbered))
        self.highlighted = 0 if rows else None

    def refill(self, rows: Sequence[str | Content]) -> None:
        """Hold other lines and leave the mark where it was; the same lines: nothing to do."""
        if tuple(rows) == self._rows:
            return
        marked = self.highlighted or 0
        self.show(rows)
        self.highlighted = min(marked, len(rows) - 1) if rows else None

    def on_mount(self) -> None:
        """Put the mark on the first line."""
        self.highlighted = 0 if self.option_count else None

    def on_key(self, event: Key) -> None:
        """Take a line by its number."""
        if (
            self._numbered
            and event.character
            and event.character in "123456789"
            and int(event.character) <= self.option_count
        ):
            event.stop()
            self.post_message(self.Taken(int(event.character) - 1, self.id or ""))

    def on_option_list_option_selected(self, message: OptionList.OptionSelected) -> None:
        """Take the line under the mark."""
        message.stop()
        self.post_message(self.Taken(message.option_index, self.id or ""))


def _options(rows: Sequence[str | Content], *, numbered: bool) -> list[Option]:
    options = []
    for number, row in enumerate(rows, 1):
        mark = f"{number}  " if numbered and number <= NUMBERED else "   " if numbered else ""
        options.append(Option(Content.assemble((mark, "$quiet"), row)))
    return options
