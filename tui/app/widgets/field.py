"""A field for one number. While it is empty, letters pass through it to the answers' keys beside it.

Once a number is begun, letters are the field's: "0.055 in" must not end as an answer of no.
"""

from dataclasses import dataclass
from typing import ClassVar

from textual.binding import BindingType
from textual.events import Key
from textual.message import Message

from tui.app import keys
from tui.app.widgets.stillinput import StillInput

BEGINS = frozenset("0123456789.,+-")
"""What a number begins with; a unit is the one that is shown beside it, unless one is typed."""


class ReadingField(StillInput):
    """A number, and its unit where the maker types one."""

    BINDINGS: ClassVar[list[BindingType]] = [keys.EMPTY]

    @dataclass
    class Submitted(Message):
        """Enter was pressed on something."""

        value: str

    def __init__(self) -> None:
        """Start empty."""
        super().__init__(compact=True, select_on_focus=False)

    def check_consume_key(self, key: str, character: str | None) -> bool:
        """Keep what a number begins with, and all that is typed after it."""
        del key
        return character is not None and self._keeps(character)

    async def _on_key(self, event: Key) -> None:
        if event.is_printable and not self._keeps(event.character or ""):
            event.prevent_default()
            return
        await super()._on_key(event)
        event.prevent_default()

    async def action_submit(self) -> None:
        """Hand up what was typed; Enter on nothing says nothing."""
        if self.value.strip():
            self.post_message(self.Submitted(self.value))

    def action_empty(self) -> None:
        """Drop what was typed; then letters are answers again."""
        self.clear()

    def _keeps(self, character: str) -> bool:
        return character in BEGINS or (bool(self.value) and character.isprintable())
