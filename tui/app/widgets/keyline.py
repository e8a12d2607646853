"""The foot of a screen: the keys that mean something now.

Where a narrow window has no room for all of them, the last of the others give way: help and the way
out always stay, and help names the rest.
"""

from collections.abc import Sequence
from typing import Final

from textual.binding import Binding
from textual.content import Content

from tui.app.keys import shown
from tui.app.widgets.flow import Flow, flow
from tui.language import worded

MOST_LINES: Final = 3
"""The styles say it again."""
WAYS_OUT: Final = 2
"""Keys at the end of the line that never give way."""


class KeyLine(Flow):
    """Keys and their meanings, flowing over as many lines as it takes."""

    def name_keys(self, bindings: Sequence[Binding]) -> None:
        """Show these keys, in this order."""
        self.show(
            [
                Content.assemble((shown(one), "bold $foreground"), (f" {worded(one.description)}", "$quiet"))
                for one in bindings
                if one.show
            ]
        )

    def content(self, width: int) -> Content:
        """Lay out as many as there is room for, the ways out among them."""
        others, out = self.pieces[:-WAYS_OUT], self.pieces[-WAYS_OUT:]
        while others and len(flow((*others, *out), width)) > MOST_LINES:
            others = others[:-1]
        return Content("\n").join(flow((*others, *out), width))
