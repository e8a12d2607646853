"""The foot of a screen: the keys that mean something now."""

from collections.abc import Sequence

from textual.binding import Binding
from textual.content import Content

from tui.app.keys import shown
from tui.app.widgets.flow import Flow


class KeyLine(Flow):
    """Keys and their meanings, flowing over as many lines as it takes."""

    def name_keys(self, bindings: Sequence[Binding]) -> None:
        """Show these keys, in this order."""
        self.show(
            [
                Content.assemble((shown(one), "bold $foreground"), (f" {one.description}", "$quiet"))
                for one in bindings
                if one.show
            ]
        )
