"""The full screen's two doors: the box of reeds, and one reed on the desk.

    open_sitting(desk, around)      # the first question at once
    open_app(around)                # the box of reeds

Both give an exit code. They are for a real terminal: the caller goes plain where there is none.
"""

from collections.abc import Callable
from pathlib import Path
from typing import Any, ClassVar, Final

from textual.app import App
from textual.binding import BindingType
from textual.screen import Screen

from kb.settings import read_settings, write_units
from kb.units import Length
from tui.app import keys
from tui.app.look import DAY, LAMP, THEMES
from tui.desk import Desk
from tui.wiring import Surroundings

INTERRUPTED: Final = 130


class Workbench(App[int]):
    """The application: themes, the keys that work anywhere, and one screen to begin with."""

    CSS_PATH = "workbench.tcss"
    TITLE = "canebrake"
    ENABLE_COMMAND_PALETTE = False
    BINDINGS: ClassVar[list[BindingType]] = [*keys.ANYWHERE]

    def __init__(self, first: Callable[[], Screen[Any]]) -> None:
        """Begin with the screen that `first` makes."""
        super().__init__()
        self._first = first
        for theme in THEMES:
            self.register_theme(theme)
        self.theme = LAMP

    def get_default_screen(self) -> Screen[Any]:
        """Give the first screen, without an empty one before it."""
        return self._first()

    def action_leave(self) -> None:
        """Leave; all that was said is on disk."""
        self.exit(0)

    def action_interrupt(self) -> None:
        """Leave from anywhere."""
        self.exit(INTERRUPTED, return_code=INTERRUPTED)

    def action_light(self) -> None:
        """Change between lamp and day."""
        self.theme = DAY if self.theme == LAMP else LAMP

    def action_help(self) -> None:
        """Show every key of the screen that is open."""
        from tui.app.pages import keys_page  # noqa: PLC0415 - not needed for a first question
        from tui.app.screens.sheet import PageSheet  # noqa: PLC0415 - the same

        own = [one for one in self.screen.BINDINGS if isinstance(one, keys.Binding)]
        groups = (("On this screen", own), ("Anywhere", keys.ANYWHERE))
        self.push_screen(PageSheet("Keys", keys_page(groups)))


def open_sitting(desk: Desk, around: Surroundings) -> int:
    """Open the sitting screen on `desk`; give the exit code."""
    length = read_settings(around.config_folder).units

    def first() -> Screen[Any]:
        from tui.app.screens.sitting import SittingScreen  # noqa: PLC0415 - the box of reeds needs none

        return SittingScreen(desk, length, keeper(around.config_folder))

    return Workbench(first).run() or 0


def keeper(folder: Path) -> Callable[[Length], None]:
    """Give what remembers the maker's units in `folder`."""

    def keep(length: Length) -> None:
        write_units(folder, length)

    return keep
