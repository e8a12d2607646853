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

    def __init__(self, rows: Sequence[str | Content] = (), *, numbered: bool = True) -> None:
        """Hold these lines; `numbered` unless the digits are wanted elsewhere."""
        super().__init__(*_options(rows, numbered=numbered), markup=False, compact=True)
        self._numbered = numbered

    def show(self, rows: Sequence[str | Content]) -> None:
        """Hold other lines, the mark on the first."""
        self.clear_options()
        self.add_options(_options(rows, numbered=self._numbered))
        self.highlighted = 0 if rows else None

    def on_mount(self) -> None:
        """Put the mark on the first line."""
        self.highlighted = 0 if self.option_count else None

    def on_key(self, event: Key) -> None:
        """Take a line by its number."""
        if event.character and event.character in "123456789" and int(event.character) <= self.option_count:
            event.stop()
            self.post_message(self.Taken(int(event.character) - 1))

    def on_option_list_option_selected(self, message: OptionList.OptionSelected) -> None:
        """Take the line under the mark."""
        message.stop()
        self.post_message(self.Taken(message.option_index))


def _options(rows: Sequence[str | Content], *, numbered: bool) -> list[Option]:
    options = []
    for number, row in enumerate(rows, 1):
        mark = f"{number}  " if numbered and number <= NUMBERED else "   " if numbered else ""
        options.append(Option(Content.assemble((mark, "$quiet"), row)))
    return options
