"""The full screen's two doors: the box of reeds, and one reed on the desk.

    open_sitting(desk, around)      # the first question at once
    open_app(around)                # the box of reeds

They are for a real terminal: the caller goes plain where there is none.
"""

import gc
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, ClassVar, TypedDict

from textual import work
from textual.app import App
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.reactive import Reactive
from textual.screen import Screen
from textual.theme import Theme

from kb.disk import DiskError
from kb.log.entry import Entry, EntryId, What
from kb.log.fault import LogError
from kb.log.replay import ReedHistory
from kb.model import Ruleset
from kb.settings import Settings, read_settings, with_setting, write_setting, write_units
from kb.units import Length
from tui.app import keys
from tui.app.look import LAMP, THEMES
from tui.app.screens.board import Board
from tui.desk import Desk
from tui.draw.literal import literal
from tui.exit_code import ExitCode
from tui.wiring import Surroundings

if TYPE_CHECKING:
    from kb.log.store import ReedLog


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
        styles: str = "",
        settings: Settings = Settings(),  # noqa: B008 - a frozen value
        keep: Callable[[str, str], object] = lambda _key, _value: None,
    ) -> None:
        """Begin with the screen that `first` makes; `door` opens a place for a ruleset, or says why not.

        `styles` names a first screen's own: those of screens that are gone to later are found by
        themselves. `keep` writes a setting that was changed, for the next time.
        """
        super().__init__(css_path=[self.CSS_PATH, styles] if styles else None)
        self._first, self._door = first, door
        self.settings, self._keep = settings, keep
        if settings.colours != LAMP:
            self.theme = settings.colours
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
        if len(self.screen_stack) > 1:
            self.pop_screen()
        else:
            self.exit(0)

    def on_board_closed(self, message: Board.Closed) -> None:
        """Leave the reed that was put away."""
        if len(self.screen_stack) > 1:
            self.pop_screen()
            self.notify(message.sentence, markup=False)
        else:
            self.exit(0, message=message.sentence)

    def on_reeds_screen_wanted(self, message: Message) -> None:
        """Go with a ruleset where the box of reeds leads."""
        place, said = getattr(message, "place", ""), getattr(message, "ruleset", "")
        found = self._door(place, said) if self._door is not None else "There is no way there from here."
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
                "Something is not saved: Ctrl-S keeps it. Ctrl-C again leaves without it.", markup=False
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
            said = f"For this time only: the settings cannot be written ({error})."
            self.notify(literal(said), severity="warning", markup=False)
        self.settings = with_setting(self.settings, key, value)
        self.theme = self.settings.colours
        for screen in self.screen_stack:
            if isinstance(screen, Board):
                await screen.follow(self.settings)

    def action_help(self) -> None:
        """Show every key of the screen that is open."""
        from tui.app.pages import keys_page  # noqa: PLC0415 - not needed for a first question
        from tui.app.screens.sheet import PageSheet  # noqa: PLC0415 - the same

        own = [one for one in self.screen.BINDINGS if isinstance(one, Binding)]
        groups = (("On this screen", own), ("Anywhere", keys.ANYWHERE))
        self.push_screen(PageSheet("Keys", keys_page(groups)))


def open_sitting(
    desk: Desk, around: Surroundings, length: Length | None = None, *, mouse: bool = True
) -> ExitCode:
    """Open the sitting screen on `desk`, `length` in place of the maker's habit; give the exit code."""
    return _run(Workbench(lambda: _sitting(desk, around, length), **_habits(around)), mouse=mouse)


def open_app(around: Surroundings, *, mouse: bool = True) -> ExitCode:
    """Open the box of reeds; give the exit code. Without `mouse`, it is left to the terminal."""
    from kb.log.store import ReedLog  # noqa: PLC0415 - a sitting has its log open already
    from tui.box import log_path  # noqa: PLC0415 - the same

    try:
        log = ReedLog.open(log_path(around.data_folder))
    except (LogError, OSError) as error:
        around.stderr.write(f"canebrake: {error}\n")
        return ExitCode.COULD_NOT_START
    with log:
        from tui.app.doors import Place, opened  # noqa: PLC0415 - a sitting needs none

        app = Workbench(
            lambda: reeds_screen(log, around, app.show),
            lambda place, said: opened(Place(place), said, around),
        )
        return _run(app, mouse=mouse)


def open_practice(ruleset: Ruleset, number: int, around: Surroundings) -> ExitCode:
    """Open a virtual reed; give the exit code."""
    from tui.app.doors import NOTHING_WRONG, practice_screen  # noqa: PLC0415 - a sitting needs none

    screen = practice_screen(ruleset, number, around)
    if screen is None:
        around.stderr.write(f"canebrake: {NOTHING_WRONG}\n")
        return ExitCode.NO
    return _run(Workbench(lambda: screen, styles="screens/practice.tcss", **_habits(around)))


def reeds_screen(log: "ReedLog", around: Surroundings, show: Callable[[Screen[Any]], None]) -> Screen[Any]:
    """Make the box of reeds of `log`; `show` goes to another screen."""
    from tui.app.screens.reeds import Box, ReedsScreen  # noqa: PLC0415 - a sitting needs none of these
    from tui.box import histories  # noqa: PLC0415 - the same
    from tui.choosing import NoRuleset, choose  # noqa: PLC0415 - the same
    from tui.shelf import installed_ids  # noqa: PLC0415 - the same

    def open_reed(name: str, reed: ReedHistory | None, ruleset: str | None) -> Desk:
        chosen = choose(ruleset, reed, log)
        if isinstance(chosen, NoRuleset):
            raise LogError(chosen.sentence)
        return Desk.with_reed(log, name, reed, chosen, clock=around.now, ids=around.new_id)

    def rules(reed: ReedHistory) -> Ruleset | None:
        chosen = choose(None, reed, log)
        return None if isinstance(chosen, NoRuleset) else chosen.ruleset

    def enter(reed: ReedHistory, what: What) -> None:
        at = around.now().isoformat(timespec="seconds")
        log.append(Entry(EntryId(around.new_id()), reed.id, at, reed.mark, what))

    return ReedsScreen(
        Box(
            reeds=lambda: histories(log),
            rulesets=installed_ids(),
            open_reed=open_reed,
            show_desk=lambda desk: show(_sitting(desk, around, None)),
            entries=lambda reed: log.entries_of(reed.id),
            rules=rules,
            enter=enter,
            now=around.now,
            length=read_settings(around.config_folder).units,
        )
    )


def _sitting(desk: Desk, around: Surroundings, length: Length | None) -> Screen[Any]:
    from tui.app.screens.sitting import SittingScreen  # noqa: PLC0415 - the box of reeds needs none

    folder = around.config_folder
    settings = read_settings(folder)
    shown = length if length is not None else settings.units
    return SittingScreen(desk, shown, lambda liked: write_units(folder, liked), settings, around.ticks)


class _Habits(TypedDict):
    settings: Settings
    keep: Callable[[str, str], object]


def _habits(around: Surroundings) -> _Habits:
    folder = around.config_folder
    return {
        "settings": read_settings(folder),
        "keep": lambda key, value: write_setting(folder, key, value),
    }


def _run(app: Workbench, *, mouse: bool = True) -> ExitCode:
    # What is loaded stays: looking through it for rubbish while the first card is painted costs 20 ms.
    gc.freeze()
    return ExitCode(app.run(mouse=mouse and app.settings.mouse) or app.return_code or 0)
