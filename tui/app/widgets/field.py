"""A field for one number. Letters pass through it, so that the answers' keys still work beside it."""

from dataclasses import dataclass

from textual.events import Key
from textual.message import Message
from textual.widgets import Input

KEPT = frozenset("0123456789.,+-")
"""What the field keeps for itself; a unit is the one that is shown beside it."""


class ReadingField(Input):
    """Digits, comma, point and sign."""

    @dataclass
    class Submitted(Message):
        """Enter was pressed on something."""

        value: str

    def __init__(self) -> None:
        """Start empty."""
        super().__init__(compact=True, select_on_focus=False)

    def check_consume_key(self, key: str, character: str | None) -> bool:
        """Keep only what numbers are made of."""
        del key
        return character is not None and character in KEPT

    async def _on_key(self, event: Key) -> None:
        if event.is_printable and event.character not in KEPT:
            event.prevent_default()
            return
        await super()._on_key(event)
        event.prevent_default()

    async def action_submit(self) -> None:
        """Hand up what was typed; Enter on nothing says nothing."""
        if self.value.strip():
            self.post_message(self.Submitted(self.value))

    def action_delete_left(self) -> None:
        """Delete a character; with none left, the key is not the field's."""
        super().action_delete_left()
