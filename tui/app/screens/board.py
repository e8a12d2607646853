"""The desk as a screen lays it out, and the way that everything said takes: to disk, then to the screen.

The board holds one frozen value, the desk, and hands parts of it down. Nothing is computed here.
What each key says is in `tui.app.screens.sitting`.
"""

from collections.abc import Callable, Coroutine
from typing import Any, ClassVar, Final

from textual import work
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.screen import Screen

from engine.interview import AskCard, Card, DoCard, OverviewCard, PickCard, RestCard, StopCard
from engine.step import Advice
from kb.log.entry import EntryId, What
from kb.log.fault import LogError
from kb.model import Answer
from kb.units import Length
from tui.app import keys
from tui.app.face import face_of
from tui.app.scene import heading_of, note_of, ranks_of, suspects_of, zone_of
from tui.app.trail import trail_of
from tui.app.widgets.card import CardPane
from tui.app.widgets.causes import Causes
from tui.app.widgets.keyline import KeyLine
from tui.app.widgets.masthead import Masthead, Ranks
from tui.app.widgets.reed import ReedPicture
from tui.app.widgets.trailpane import TrailPane
from tui.desk import Desk
from tui.draw.literal import literal

ONLY_ON: Final[dict[str, tuple[type, ...]]] = {
    "answer": (AskCard, PickCard),
    "all_fine": (OverviewCard,),
    "something_wrong": (OverviewCard,),
    "ask_me": (PickCard,),
    "done": (DoCard,),
    "rest_now": (RestCard,),
    "grade": (StopCard,),
}
"""Actions that belong to some cards; all others are there at any moment."""


class Board(Screen[None]):
    """A desk, laid out; and the way of what is said."""

    HORIZONTAL_BREAKPOINTS: ClassVar[list[tuple[int, str]]] = [(0, "-narrow"), (64, "-usual"), (110, "-wide")]
    VERTICAL_BREAKPOINTS: ClassVar[list[tuple[int, str]]] = [(0, "-low"), (22, "-middling"), (34, "-high")]

    def __init__(self, desk: Desk, length: Length, keep_length: Callable[[Length], None]) -> None:
        """Take a desk with a reed on it; `keep_length` remembers the maker's habit."""
        super().__init__()
        self.desk, self.length, self.keep_length = desk, length, keep_length
        self._before: Advice | None = None
        """The advice before the last entry: what the arrows beside the bars compare with."""

    @property
    def card(self) -> Card:
        """The card that is shown."""
        return self.desk.interview.card

    def compose(self) -> ComposeResult:
        """Reed and ruleset above, card in the middle, reed and causes beside it, keys below."""
        yield Masthead()
        yield Ranks()
        with Horizontal(id="desk"):
            with Vertical(id="middle"):
                yield CardPane()
                yield TrailPane()
            with Vertical(id="side"):
                yield ReedPicture()
                yield Causes()
        yield KeyLine()

    async def on_mount(self) -> None:
        """Show the first card; what needs belief follows once it is painted."""
        await self.show_desk()
        for note in self.desk.notes:
            self.notify(literal(note), timeout=20, markup=False)
        self.call_after_refresh(self._show_belief)

    async def show_desk(self) -> None:
        """Show the card and what is known without weighing anything."""
        desk, card = self.desk, self.card
        face = face_of(card, desk.ruleset, desk.interview.case.sitting, self.length)
        await self.query_one(CardPane).show(face, self.length)
        self.query_one(Masthead).show(heading_of(desk))
        self.query_one(ReedPicture).show(desk.ruleset.zones, zone_of(card))
        self.query_one(TrailPane).show(trail_of(desk.standing, desk.ruleset, self.length))
        # The card's own keys stand on its caps; the foot line names the others.
        line = (*keys.SITTING, keys.HELP, keys.LEAVE)
        self.query_one(KeyLine).show([one for one in line if one.show and _verb(one.action) not in ONLY_ON])

    def _show_belief(self) -> None:
        advice, ruleset = self.desk.interview.advice, self.desk.ruleset
        most = 8 if self.size.height >= 34 else 3
        self.query_one(Ranks).show(ranks_of(ruleset, advice), reopened=advice.reopened)
        self.query_one(Causes).show(suspects_of(ruleset, advice, self._before, most), note_of(advice))

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Whether a key means something on this card."""
        kinds = ONLY_ON.get(action)
        if action == "answer" and isinstance(self.card, PickCard):
            return parameters == (Answer.SLIGHTLY.value,)
        return kinds is None or isinstance(self.card, kinds)

    # What is said goes to the desk, which writes it down; what follows comes back.

    async def say(self, what: What) -> bool:
        """Write `what` down and show what follows; whether it could be written."""
        return await self.go_on(lambda desk: desk.say(what), self.desk.interview.advice)

    async def take_back(self, *entries: EntryId) -> bool:
        """Take entries back, the last one if none is named, and show what follows."""

        def without(desk: Desk) -> Desk:
            for entry in entries or (None,):
                desk = desk.take_back(entry) or desk
            return desk

        return await self.go_on(without)

    async def go_on(self, step: Callable[[Desk], Desk], before: Advice | None = None) -> bool:
        """Take a step of the desk and show what follows; whether it could be taken."""
        try:
            self.desk = step(self.desk)
        except LogError as error:
            self.notify(f"Not written. {literal(str(error))}", severity="error", timeout=20, markup=False)
            return False
        self._before = before
        await self.show_desk()
        self._show_belief()
        return True

    @work(exclusive=True, group="asking")
    async def say_what(self, asked: Coroutine[Any, Any, What | None]) -> None:
        """Ask the maker with a sheet, and say what comes of it."""
        what = await asked
        if what is not None:
            await self.say(what)

    @work(exclusive=True, group="asking")
    async def back_what(self, asked: Coroutine[Any, Any, EntryId | None]) -> None:
        """Ask the maker with a sheet what to take back."""
        entry = await asked
        if entry is not None:
            await self.take_back(entry)


def _verb(action: str) -> str:
    return action.partition("(")[0]
