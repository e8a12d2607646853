"""A field to type in whose cursor stands still: nothing is painted while nobody types."""

from textual.reactive import Reactive
from textual.widgets import Input


class StillInput(Input):
    """A field of one line."""

    cursor_blink = Reactive(False, init=False)
