"""The foot of a screen: the keys that mean something now, as many as fit."""

from collections.abc import Sequence

from textual.binding import Binding
from textual.content import Content
from textual.widgets import Static

from tui.app.keys import shown


class KeyLine(Static):
    """Keys and their meanings, flowing over as many lines as it takes."""

    def __init__(self) -> None:
        """Start empty."""
        super().__init__(markup=False)

    def show(self, bindings: Sequence[Binding]) -> None:
        """Show these keys, in this order."""
        # A no-break space holds a key and its meaning on one line; ordinary ones let lines break.
        pieces = [
            Content.assemble(
                (shown(one), "bold $foreground"), (" " + one.description.replace(" ", " "), "$quiet")
            )
            for one in bindings
        ]
        self.update(Content("   ").join(pieces))
