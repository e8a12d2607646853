"""The desk as a screen lays it out, and the way that everything said takes: to disk, then to the screen.

The board holds one frozen value, the desk, and hands parts of it down. Nothing is computed here.
What each key says is in `tui.app.screens.sitting`.
"""

import asyncio
from collections.abc import Callable, Coroutine
from contextlib import ExitStack
from dataclasses import dataclass
from typing import Any, Final

from textual import work
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Static

from engine.interview import AskCard, Card, DoCard, OverviewCard, PickCard, RestCard, StopCard
from engine.step import Advice
from kb.log.entry import EntryId, What
from kb.log.fault import LogError
from kb.model import Answer
from kb.settings import Settings
from kb.units import Length
from tui.app import keys
from tui.app.face import Face, face_of
from tui.app.look import HEIGHTS, HIGH, USUAL, WIDTHS, rooms
from tui.app.scene import heading_of, note_of, ranks_of, said_of_causes, suspects_of, zone_of
from tui.app.trail import trail_of
from tui.app.widgets.card import CardPane
from tui.app.widgets.causes import Causes
from tui.app.widgets.clock import Clock
from tui.app.widgets.keyline import KeyLine
from tui.app.widgets.masthead import Masthead, Ranks
from tui.app.widgets.reed import ReedPicture
from tui.app.widgets.trailpane import TrailPane
from tui.desk import Desk
from tui.draw.literal import literal
from tui.language import worded, worded_later

ONLY_ON: Final[dict[str, tuple[type, ...]]] = {
    "answer": (AskCard, PickCard),
    "all_fine": (OverviewCard,),
    "something_wrong": (OverviewCard,),
    "ask_me": (PickCard,),
    "picked": (PickCard,),
    "where": (DoCard,),
    "done": (DoCard,),
    "rest_now": (RestCard,),
    "grade": (StopCard,),
}
"""Actions that belong to some cards; all others are there at any moment."""
NARROW: Final = worded_later("From {columns} columns on the reed and what may be behind it are shown too.")
PATIENCE: Final = 0.15
"""Seconds after which the screen says that it is weighing."""
USUAL_SETTINGS: Final = Settings()
ALWAYS_SAYS: Final = frozenset(
    {"take_back", "finding", "measure", "other", "remark", "blade", "weather", "stop", "trail", "why"}
)
"""Actions that say something on any card, but not while the next one is being dealt."""


class Board(Screen[None]):
    """A desk, laid out; and the way of what is said."""

    HORIZONTAL_BREAKPOINTS = WIDTHS
    VERTICAL_BREAKPOINTS = HEIGHTS

    @dataclass
    class Closed(Message):
        """The reed was put away."""

        sentence: str

    def __init__(
        self,
        desk: Desk,
        length: Length,
        keep_length: Callable[[Length], object],
        settings: Settings = USUAL_SETTINGS,
        ticks: Callable[[], float] = lambda: 0.0,
    ) -> None:
        """Take a desk with a reed on it; `keep_length` remembers the maker's habit, `ticks` are seconds."""
        super().__init__()
        self.settings, self.ticks = settings, ticks
        self.desk, self.length, self.keep_length = desk, length, keep_length
        # An opening question needs no belief, and so is there at once; others are worked out beside.
        self._card: Card | None = desk.interview.card if desk.interview.is_in_opening else None
        """The card on the screen; None while the next one is being dealt."""
        self._unpainted = ExitStack()
        self._room = (False, False)
        """Whether the window is narrow, and whether it is high."""
        self._advice: Advice | None = None
        self._before: Advice | None = None
        """The advice before the last entry: what the arrows beside the bars compare with."""

    @property
    def card(self) -> Card | None:
        """The card that is shown, None while there is none: then no key answers anything."""
        return self._card

    def compose(self) -> ComposeResult:
        """Reed and ruleset above, card in the middle, reed and causes beside it, keys below."""
        # Nothing is painted until all of it is there: half a screen would cost as much as a whole one.
        self._unpainted.enter_context(self.app.batch_update())
        # Said before the first layout: classes that come after it cost a second one.
        self.add_class(*rooms(*self.app.size))
        self._masthead, self._ranks, self._key_line = Masthead(), Ranks(), KeyLine()
        self._clock = Clock()
        self._reed, self._causes, self._trail = ReedPicture(), Causes(), TrailPane()
        face = None if self._card is None else self._face_of(self._card)
        self._middle = Vertical(id="middle")
        self._around_card()
        yield self._masthead
        yield self._ranks
        with Horizontal(id="desk"):
            with self._middle:
                yield CardPane(face, self.length)
                yield self._clock
                yield self._trail
                yield Static(worded(NARROW, columns=USUAL), id="narrow", markup=False)
            with Vertical(id="side"):
                yield self._reed
                yield self._causes
        yield self._key_line

    def on_mount(self) -> None:
        """Deal the first card."""
        self._unpainted.close()
        if self.desk.notes:
            # Gone with the first thing that is said: a card must not stay covered.
            self.notify(literal(" ".join(self.desk.notes)), timeout=20, markup=False)
        self._deal()

    @work(exclusive=True, group="dealing")
    async def _deal(self) -> None:
        """Work the next card out beside the screen, so that keys and clock go on; then show it.

        What belief says is worked out after the card is painted: loading the library for numbers
        would hold up a question that needs none.
        """
        interview = self.desk.interview
        if self._card is None:
            waiting = self.set_timer(PATIENCE, self.query_one(CardPane).wait)
            card = await asyncio.to_thread(lambda: interview.card)
            waiting.stop()
            self._card = card
            await self.show_desk()
        painted = asyncio.Event()
        self.call_after_refresh(painted.set)
        await painted.wait()
        self._before, self._advice = self._advice, await asyncio.to_thread(lambda: interview.advice)
        self._show_belief()

    async def show_desk(self) -> None:
        """Show the card and what is known without weighing anything."""
        if self._card is not None:
            # Laid out and painted once, when all of it is there.
            with self.app.batch_update():
                await self.query_one(CardPane).show(self._face_of(self._card), self.length)
                self._around_card()

    def _face_of(self, card: Card) -> Face:
        case = self.desk.interview.case
        return face_of(card, self.desk.ruleset, case, self.length, self.settings.notes)

    def _around_card(self) -> None:
        desk = self.desk
        self._masthead.show(heading_of(desk))
        self._trail.show(trail_of(desk.standing, desk.ruleset, self.length))
        if self._card is not None:
            self._middle.set_classes(f"-{self._face_of(self._card).kind}")
            self._reed.show(desk.ruleset.zones, zone_of(self._card))
        self._room = self._room_now()
        # The card's own keys stand on its caps; the foot line names the others.
        line = keys.FEW if self._room[0] else (*keys.SITTING, keys.HELP, keys.LEAVE)
        named = [one for one in line if one.show and _verb(one.action) not in ONLY_ON]
        self._key_line.name_keys([one for one in named if one not in keys.UNNAMED])

    def _show_belief(self) -> None:
        advice, ruleset = self._advice, self.desk.ruleset
        most = 6 if self._room[1] else 2
        self._ranks.show(ranks_of(ruleset, advice), reopened=advice is not None and advice.reopened)
        if advice is not None:
            heading = said_of_causes(self._card, self.desk)
            suspects = suspects_of(ruleset, advice, self._before, most) if heading else ()
            self._causes.show(suspects, note_of(advice), heading)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Whether a key means something now. Nothing is said about a card that is not yet there."""
        kinds = ONLY_ON.get(action)
        if kinds is None:
            return action not in ALWAYS_SAYS or self._card is not None
        if action == "answer" and isinstance(self._card, PickCard):
            return parameters == (Answer.SLIGHTLY.value,)
        return isinstance(self._card, kinds)

    def action_scroll_card(self, lines: int) -> None:
        """Move a long card."""
        self.query_one(CardPane).scroll_body(lines)

    async def follow(self, settings: Settings) -> None:
        """Take other settings: how lengths and notes are shown."""
        self.settings, self.length = settings, settings.units
        await self.show_desk()

    def on_resize(self) -> None:
        """Say again what depends on the room, when a border between two layouts was crossed."""
        if self._room != self._room_now():
            self._around_card()
            self._show_belief()

    def _room_now(self) -> tuple[bool, bool]:
        return self.app.size.width < USUAL, self.app.size.height >= HIGH

    # What is said goes to the desk, which writes it down; what follows comes back.

    def say(self, what: What) -> bool:
        """Write `what` down and deal what follows; whether it could be written."""
        return self.go_on(lambda desk: desk.say(what))

    def take_back(self, *entries: EntryId) -> bool:
        """Take entries back, the last one if none is named, and deal what follows."""

        def without(desk: Desk) -> Desk:
            for entry in entries or (None,):
                desk = desk.take_back(entry) or desk
            return desk

        return self.go_on(without)

    def go_on(self, step: Callable[[Desk], Desk]) -> bool:
        """Take a step of the desk and deal what follows; whether it could be taken."""
        try:
            self.desk = step(self.desk)
        except LogError as error:
            self.notify(
                worded("Not written. {error}", error=literal(str(error))),
                severity="error",
                timeout=20,
                markup=False,
            )
            return False
        self.app.clear_notifications()
        self._card = None
        self._deal()
        return True

    @work(exclusive=True, group="asking")
    async def say_what(self, asked: Coroutine[Any, Any, What | None]) -> None:
        """Ask the maker with a sheet, and say what comes of it."""
        what = await asked
        if what is not None:
            self.say(what)

    @work(exclusive=True, group="asking")
    async def back_what(self, asked: Coroutine[Any, Any, EntryId | None]) -> None:
        """Ask the maker with a sheet what to take back."""
        entry = await asked
        if entry is not None:
            self.take_back(entry)


def _verb(action: str) -> str:
    return action.partition("(")[0]
