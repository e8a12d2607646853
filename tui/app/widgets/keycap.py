"""One key as something to look at and to click: the letter on a cap, its meaning beside it."""

from dataclasses import dataclass

from textual.binding import Binding
from textual.content import Content
from textual.events import Click
from textual.message import Message
from textual.widgets import Static

from tui.app.keys import shown
from tui.language import worded


class KeyCap(Static):
    """A key that can be pressed with the mouse as well. Hidden while it has no binding."""

    @dataclass
    class Pressed(Message):
        """The cap was clicked: what its key does is wanted."""

        action: str

    def __init__(self) -> None:
        """Start without a key, hidden."""
        super().__init__(markup=False)
        self._binding: Binding | None = None
        self.display = False

    def show(self, binding: Binding | None) -> None:
        """Put `binding` on the cap, or hide it."""
        self._binding = binding
        self.display = binding is not None
        if binding is not None:
            cap = Content.styled(f" {shown(binding)} ", "bold $foreground on $cap")
            self.update(Content.assemble(cap, " ", worded(binding.description)))

    def on_click(self, event: Click) -> None:
        """Say that it was pressed."""
        event.stop()
        if self._binding is not None:
            self.post_message(self.Pressed(self._binding.action))
