"""The box of reeds: which one is on the desk next, or a new one."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Static

from kb.log.fault import LogError
from kb.log.replay import ReedHistory
from tui.app import keys
from tui.app.look import WIDTHS
from tui.app.screens.asking import ask_ruleset
from tui.app.screens.sheet import ChoiceSheet, LineSheet, Row
from tui.app.widgets.keyline import KeyLine
from tui.app.widgets.rowlist import RowList
from tui.box import find, reed_name
from tui.desk import Desk
from tui.draw.literal import literal

Opener = Callable[[str, ReedHistory | None, str | None], Desk]
"""Opens a reed by its name (None: it is new) under a ruleset (None: its own). Raises LogError."""


class ReedsScreen(Screen[None]):
    """All reeds of the log, the last used first."""

    BINDINGS: ClassVar[list[BindingType]] = [*keys.BOX]
    HORIZONTAL_BREAKPOINTS = WIDTHS

    @dataclass
    class Wanted(Message):
        """The maker wants to go elsewhere with a ruleset: to its map, its text, a reed to practise on."""

        place: str
        ruleset: str

    def __init__(
        self,
        reeds: Callable[[], tuple[ReedHistory, ...]],
        rulesets: Sequence[str],
        open_reed: Opener,
        show_desk: Callable[[Desk], None],
    ) -> None:
        """Show what `reeds` gives; `open_reed` lays one on the desk, `show_desk` goes there."""
        super().__init__()
        self._reeds, self._rulesets = reeds, tuple(rulesets)
        self._open_reed, self._show_desk = open_reed, show_desk
        self._box: tuple[ReedHistory, ...] = ()

    def compose(self) -> ComposeResult:
        """Heading, list, and what to do with an empty box."""
        with Vertical(id="box"):
            yield Static("The box of reeds", id="heading", markup=False)
            yield Static(id="empty", markup=False)
            yield RowList()
        yield KeyLine()

    def on_mount(self) -> None:
        """Fill the list."""
        self.query_one(KeyLine).name_keys([*keys.BOX, keys.HELP, keys.LIGHT, keys.LEAVE])

    def on_screen_resume(self) -> None:
        """Read the box again: a sitting may have changed it."""
        self._box = self._reeds()
        rows = self.query_one(RowList)
        rows.show([_line(reed) for reed in self._box])
        rows.display = bool(self._box)
        empty = self.query_one("#empty", Static)
        empty.display = not self._box
        empty.update(
            Content.assemble(
                "The box is empty.\n\nPress ",
                (" n ", "bold $foreground on $cap"),
                " to lay your first reed on the desk. Give it a name that you will know it by:"
                " what you find, do and measure is kept under it from then on.",
            )
        )
        if self._box:
            rows.focus()

    def on_row_list_taken(self, message: RowList.Taken) -> None:
        """Lay a reed on the desk."""
        message.stop()
        reed = self._box[message.index]
        self._lay(reed.name, reed, None)

    @work(exclusive=True)
    async def action_new(self) -> None:
        """Ask for a name, and for a ruleset where there are several."""
        hint, typed = "A name you will know it by, such as: spring cane 3", ""
        while True:
            written = await self.app.push_screen_wait(
                LineSheet("A new reed. What is it called?", hint, typed)
            )
            if written is None:
                return
            name, typed = reed_name(written), written
            if name is None:
                hint = "▲ A name has 1 to 80 visible characters."
            elif find(self._box, name) is not None:
                hint = "▲ A reed of that name is in the box already."
            else:
                break
        ruleset = await self._which()
        if ruleset is not None or not self._rulesets:
            self._lay(name, None, ruleset)

    @work(exclusive=True)
    async def action_go(self, place: str) -> None:
        """Go elsewhere with a ruleset: asked for where there are several."""
        ruleset = await ask_ruleset(self.app, "Of which rules?")
        if ruleset is not None:
            self.post_message(self.Wanted(place, ruleset))

    async def _which(self) -> str | None:
        if len(self._rulesets) < 2:
            return self._rulesets[0] if self._rulesets else None
        rows = [Row(one, literal(one)) for one in self._rulesets]
        return await self.app.push_screen_wait(ChoiceSheet("By which rules?", rows))

    def _lay(self, name: str, reed: ReedHistory | None, ruleset: str | None) -> None:
        try:
            desk = self._open_reed(name, reed, ruleset)
        except LogError as error:
            self.notify(literal(str(error)), severity="error", timeout=20, markup=False)
            return
        self._show_desk(desk)


def _line(reed: ReedHistory) -> Content:
    parts = [f"sitting {reed.sittings}" if reed.sittings else "not begun"]
    if reed.grade:
        parts.append(f"★ {literal(reed.grade)}")
    if reed.blade_up:
        parts.append(f"↑ {literal(reed.blade_up)}")
    parts.append(f"last {reed.last_used[:10]}")
    return Content.assemble((f"{literal(reed.name):<20}", "bold"), ("   " + "   ".join(parts), "$quiet"))
