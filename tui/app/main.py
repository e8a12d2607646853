"""The full screen's doors: the box of reeds, one reed on the desk, a virtual reed to practise on.

    open_sitting(begin, …)          # one reed: the frame at once, then its first question
    open_app(around)                # the box of reeds

They are for a real terminal: the caller goes plain where there is none. Nothing of the rules, the engine
or the log is loaded here: the frame is painted before.
"""

import gc
from collections.abc import Callable
from contextlib import ExitStack
from typing import TYPE_CHECKING, Any, ClassVar, TypedDict, TypeVar

from textual import work
from textual.app import App
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.reactive import Reactive
from textual.screen import Screen
from textual.theme import Theme

from kb.disk import DiskError
from kb.log.fault import LogError
from kb.settings import Settings, read_settings, with_setting, write_setting
from kb.units import Length
from tui.app import keys
from tui.app.look import CONTRAST, FEW_COLOURS, LAMP, THEMES
from tui.app.screens.coming import Coming
from tui.draw.literal import literal
from tui.exit_code import ExitCode
from tui.language import worded
from tui.wiring import Surroundings

if TYPE_CHECKING:
    from tui.app.screens.board import Board
    from tui.desk import Desk

Refused = TypeVar("Refused")


class Workbench(App[int]):
    """The application: themes, the keys that work anywhere, and one screen to begin with."""

    CSS_PATH = "workbench.tcss"
    TITLE = "canebrake"
    ENABLE_COMMAND_PALETTE = False
    # Set here and not in __init__: a change of theme would read every style a second time.
    theme = Reactive(LAMP)
    animation_level = "none"
    """Nothing moves by itself: it would cost time, and disturb whom movement disturbs."""
    BINDINGS: ClassVar[list[BindingType]] = [*keys.ANYWHERE]

    def __init__(
        self,
        first: Callable[[], Screen[Any]],
        door: Callable[[str, str], Screen[Any] | str] | None = None,
        *,
        settings: Settings = Settings(),  # noqa: B008 - a frozen value
        keep: Callable[[str, str], object] = lambda _key, _value: None,
    ) -> None:
        """Begin with the screen that `first` makes; `door` opens a place for a ruleset, or says why not.

        `keep` writes a setting that was changed, for the next time.
        """
        super().__init__()
        self._first, self._door = first, door
        self.settings, self._keep = settings, keep
        if settings.colours != LAMP:
            self.theme = settings.colours
        elif self.no_color or self.console.color_system in FEW_COLOURS:
            # The browns of the other would all become black or grey, and fields and marks could not be seen.
            self.theme = CONTRAST
        self._warned = False

    @property
    def available_themes(self) -> dict[str, Theme]:
        """Ours alone: the built-in ones have contrasts that are too weak to read by."""
        return {theme.name: theme for theme in THEMES}

    def get_default_screen(self) -> Screen[Any]:
        """Give the first screen, without an empty one before it."""
        return self._first()

    def action_leave(self) -> None:
        """Leave; all that was said is on disk. From a reed taken out of the box, back to the box."""
        if self._is_further_in():
            self.pop_screen()
        else:
            self.exit(0)

    def _is_further_in(self) -> bool:
        """Whether there is a screen to go back to. Nobody goes back to the frame that was painted first."""
        return len(self.screen_stack) > 1 and not isinstance(self.screen_stack[-2], Coming)

    def on_board_closed(self, message: "Board.Closed") -> None:
        """Leave the reed that was put away."""
        if self._is_further_in():
            self.pop_screen()
            self.notify(message.sentence, markup=False)
        else:
            self.exit(0, message=message.sentence)

    def on_reeds_screen_wanted(self, message: Message) -> None:
        """Go with a ruleset where the box of reeds leads."""
        place, said = getattr(message, "place", ""), getattr(message, "ruleset", "")
        found = (
            self._door(place, said) if self._door is not None else worded("There is no way there from here.")
        )
        if isinstance(found, str):
            self.notify(literal(found), severity="error", timeout=20, markup=False)
        else:
            self.push_screen(found)

    def show(self, screen: Screen[Any]) -> None:
        """Go to another screen; leaving it comes back here."""
        self.push_screen(screen)

    def action_interrupt(self) -> None:
        """Leave from anywhere; where a text is not saved, only when asked twice."""
        if not self._warned and any(getattr(one, "is_unsaved", False) for one in self.screen_stack):
            self._warned = True
            self.notify(
                worded("Something is not saved: Ctrl-S keeps it. Ctrl-C again leaves without it."),
                markup=False,
            )
            return
        self.exit(ExitCode.INTERRUPTED, return_code=ExitCode.INTERRUPTED)

    async def action_light(self) -> None:
        """Go to the next theme, and keep it."""
        names = [theme.name for theme in THEMES]
        await self.change("colours", names[(names.index(self.theme) + 1) % len(names)])

    @work(exclusive=True, group="settings")
    async def action_settings(self) -> None:
        """Show the settings, and change one."""
        from tui.app.screens.setting import ask_setting  # noqa: PLC0415 - not needed for a first question

        changed = await ask_setting(self, self.settings)
        if changed is not None:
            await self.change(*changed)

    async def change(self, key: str, value: str) -> None:
        """Follow a setting at once where that can be, and keep it for the next time."""
        try:
            self._keep(key, value)
        except (OSError, DiskError) as error:
            said = worded("For this time only: the settings cannot be written ({error}).", error=error)
            self.notify(literal(said), severity="warning", markup=False)
        self.settings = with_setting(self.settings, key, value)
        self.theme = self.settings.colours
        from tui.app.screens.board import Board  # noqa: PLC0415 - nothing is changed before it is loaded

        for screen in self.screen_stack:
            if isinstance(screen, Board):
                await screen.follow(self.settings)

    def action_help(self) -> None:
        """Show every key of the screen that is open."""
        from tui.app.pages import keys_page  # noqa: PLC0415 - not needed for a first question
        from tui.app.screens.sheet import PageSheet  # noqa: PLC0415 - the same

        own = [one for one in self.screen.BINDINGS if isinstance(one, Binding)]
        groups = ((worded("On this screen"), own), (worded("Anywhere"), keys.ANYWHERE))
        self.push_screen(PageSheet(worded("Keys"), keys_page(groups)))


def open_sitting(
    begin: "Callable[[], Desk | Refused]",
    heading: str,
    around: Surroundings,
    length: Length | None = None,
    *,
    mouse: bool = True,
) -> "ExitCode | Refused":
    """Open the sitting screen; give the exit code, or what `begin` gave in place of a desk.

    `begin` is called when the frame with its `heading` is painted. `length` stands in place of the
    maker's habit.
    """

    def sitting(_app: Workbench) -> "Screen[Any] | Refused":
        from tui.app.doors import sitting_screen  # noqa: PLC0415 - the frame is painted first
        from tui.desk import Desk  # noqa: PLC0415 - the same

        begun = begin()
        return sitting_screen(begun, around, length) if isinstance(begun, Desk) else begun

    return _frame_first(sitting, (heading, worded("Opening the rules …")), around, mouse=mouse)


def open_app(around: Surroundings, *, mouse: bool = True) -> ExitCode:
    """Open the box of reeds; give the exit code. Without `mouse`, it is left to the terminal."""
    with ExitStack() as closing:

        def box(app: Workbench) -> Screen[Any] | str:
            from kb.log.store import ReedLog  # noqa: PLC0415 - the frame is painted first
            from tui.app.doors import reeds_screen  # noqa: PLC0415 - the same
            from tui.box import log_path  # noqa: PLC0415 - the same

            try:
                log = closing.enter_context(ReedLog.open(log_path(around.data_folder)))
            except (LogError, OSError) as error:
                return str(error)
            return reeds_screen(log, around, app.show)

        ended = _frame_first(
            box, (worded("The box of reeds"), worded("Opening the box …")), around, mouse=mouse
        )
    return ended if isinstance(ended, ExitCode) else _complained(around, ended)


def open_practice(said: str, number: int, around: Surroundings) -> ExitCode:
    """Open a virtual reed under the ruleset called `said`; give the exit code."""

    def practice(_app: Workbench) -> Screen[Any] | tuple[str, ExitCode]:
        from tui.app.doors import NOTHING_WRONG, practice_screen  # noqa: PLC0415 - the frame is painted first
        from tui.shelf import ShelfError, ready_ruleset  # noqa: PLC0415 - the same

        try:
            ruleset = ready_ruleset(said).ruleset
        except ShelfError as fault:
            return str(fault), ExitCode.COULD_NOT_START
        return practice_screen(ruleset, number, around) or (worded(NOTHING_WRONG), ExitCode.NO)

    ended = _frame_first(practice, (said, worded("Opening the rules …")), around)
    return ended if isinstance(ended, ExitCode) else _complained(around, *ended)


def _complained(around: Surroundings, sentence: str, code: ExitCode = ExitCode.COULD_NOT_START) -> ExitCode:
    around.stderr.write(f"canebrake: {literal(sentence)}\n")
    return code


class _Habits(TypedDict):
    settings: Settings
    keep: Callable[[str, str], object]


def _habits(around: Surroundings) -> _Habits:
    folder = around.config_folder
    return {
        "settings": read_settings(folder),
        "keep": lambda key, value: write_setting(folder, key, value),
    }


def _frame_first(
    make: "Callable[[Workbench], Screen[Any] | Refused]",
    said: tuple[str, str],
    around: Surroundings,
    *,
    mouse: bool = True,
) -> "ExitCode | Refused":
    """Paint the frame, then make the screen that belongs into it; give what was made where it is none."""
    refused: list[Refused] = []

    def made() -> Screen[Any] | None:
        screen = make(app)
        # What is loaded stays: looking through it for rubbish while the first card is painted costs 20 ms.
        gc.freeze()
        if isinstance(screen, Screen):
            return screen
        refused.append(screen)
        return None

    def opened(place: str, ruleset: str) -> Screen[Any] | str:
        from tui.app.doors import Place, opened  # noqa: PLC0415 - the frame is painted first

        return opened(Place(place), ruleset, around)

    app = Workbench(lambda: Coming(*said, made), opened, **_habits(around))
    left = app.run(mouse=mouse and app.settings.mouse)
    return refused[0] if refused else ExitCode(left or app.return_code or 0)
