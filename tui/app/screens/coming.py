"""What is painted at once: the frame, with what is known before any rules are read.

Separate from every other screen because it loads nothing of the rules, the engine or the log: those
are loaded while it is looked at, and what was asked for is laid over it.
"""

from collections.abc import Callable
from typing import Any

from textual.app import ComposeResult
from textual.content import Content
from textual.screen import Screen
from textual.widgets import Static

from tui.draw.literal import literal


class Coming(Screen[None]):
    """The frame of the screen that comes."""

    def __init__(self, heading: str, sentence: str, make: Callable[[], Screen[Any] | None]) -> None:
        """Say what comes; then `make` it, or leave where that gives None."""
        super().__init__()
        self._heading, self._sentence, self._make = heading, sentence, make

    def compose(self) -> ComposeResult:
        """Put the heading where the heading will be, and the sentence where the card will be."""
        yield Static(Content.styled(literal(self._heading), "bold"), id="coming-heading")
        yield Static(Content(literal(self._sentence)), id="coming")

    def on_mount(self) -> None:
        """Go on as soon as this was painted."""
        self.call_after_refresh(self._go_on)

    def _go_on(self) -> None:
        screen = self._make()
        if screen is None:
            self.app.exit()
        else:
            self.app.push_screen(screen)
