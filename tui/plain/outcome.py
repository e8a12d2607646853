"""What a line came to, and what the parts of the plain front need of its loop."""

from enum import Enum
from typing import Protocol

from kb.log.entry import What
from tui.desk import Desk
from tui.plain.lines import Lines


class Outcome(Enum):
    """What a typed line came to."""

    NEXT = "next"
    """Something was entered: show the next card."""
    SAME = "same"
    """Nothing changed: prompt again."""
    STOP = "stop"
    """Stop for today."""


class Talking(Protocol):
    """The loop, as answers and commands see it."""

    desk: Desk
    lines: Lines

    def say(self, what: What) -> None:
        """Enter what was said and tell the maker that it is kept."""

    def tell_sitting(self) -> None:
        """Say which sitting this is."""

    def show_card(self) -> None:
        """Say the present card with its reasons."""
