"""The sitting: one reed on the desk, one card at a time. What each key says."""

import asyncio
from collections.abc import Callable
from typing import ClassVar, Final

from textual import work
from textual.binding import BindingType

from engine.interview import AskCard, DisagreeCard, DoCard, OverviewCard, PickCard, RestCard
from kb.log.entry import Answered, Entry, Measured, Overviewed, RemedyDone, Rested, What
from kb.log.replay import ReedHistory
from kb.model import Answer
from kb.units import Length
from tui.app import keys
from tui.app.countdown import Countdown
from tui.app.scene import about, likeliest, wait_of
from tui.app.screens.asking import (
    ask_blade,
    ask_entry,
    ask_finding,
    ask_grade,
    ask_minutes,
    ask_operation,
    ask_reading,
    ask_remark,
    ask_rest,
    ask_weather,
)
from tui.app.screens.board import Board
from tui.app.screens.sheet import PageSheet
from tui.app.trail import picked_rows, trail_of
from tui.app.widgets.card import CardPane
from tui.app.widgets.clock import Clock
from tui.app.widgets.keycap import KeyCap
from tui.desk import Desk
from tui.draw.literal import literal
from tui.language import worded, worded_later

RESTS: Final = worded_later("Kept. The reed rests until its next sitting.")
NOT_KEPT: Final = worded_later("No reed was named, and so nothing is kept.")


class SittingScreen(Board):
    """One reed, one card."""

    BINDINGS: ClassVar[list[BindingType]] = [*keys.SITTING]
    countdown: Countdown | None = None
    """A time to wait for, where one was begun."""
    _times_step = False
    """Whether it is a step's own time: then it ends with the step."""
    _taken: tuple[Answered, ...] = ()
    """What was taken from the card's list so far; written when the maker says that it is all."""

    def action_answer(self, word: str) -> None:
        """Answer the card's question; on a list, the marked line."""
        match self.card:
            case AskCard(finding=finding):
                self.say(Answered(finding.id, Answer(word)))
            case PickCard():
                self._take_line(self.query_one(CardPane).marked, Answer(word))
            case _:
                pass

    def on_card_pane_read(self, message: CardPane.Read) -> None:
        """Take a reading for an answer."""
        if isinstance(self.card, AskCard) and self.card.quantity is not None:
            self.say(Measured(self.card.quantity, message.value))

    def on_card_pane_taken(self, message: CardPane.Taken) -> None:
        """Take a line of the card's list: a symptom that shows, or an answer that was wrong."""
        match self.card:
            case PickCard():
                self._take_line(message.index, Answer.YES)
            case DisagreeCard(answers=answers):
                self.take_back(*self.desk.entries_behind(*answers[message.index]))
            case _:
                pass

    def _take_line(self, index: int, answer: Answer) -> None:
        """Take a line of the list, or leave it again when it was taken so before."""
        if not isinstance(self.card, PickCard):
            return
        said = Answered(self.card.symptoms[index].id, answer)
        others = tuple(one for one in self._taken if one.finding != said.finding)
        self._taken = others if said in self._taken else (*others, said)
        self.query_one(CardPane).show_taken(picked_rows(self.card.symptoms, self._taken))

    def action_picked(self) -> None:
        """Write down all that was taken from the list, and go on."""
        taken = self._taken
        if not taken:
            self.notify(worded("Nothing is taken yet: Enter or its number takes a line."), markup=False)
        elif isinstance(self.card, PickCard):
            self.go_on(lambda desk: desk.say_all(*taken))

    async def show_desk(self) -> None:
        """Show the card, with what was taken from its list so far."""
        await super().show_desk()
        if isinstance(self.card, PickCard) and self._taken:
            self.query_one(CardPane).show_taken(picked_rows(self.card.symptoms, self._taken))

    def go_on(self, step: Callable[[Desk], Desk]) -> bool:
        """Take a step of the desk; what lay half taken on the card before goes with it."""
        went = super().go_on(step)
        if went:
            self._taken = ()
        return went

    def say(self, what: What) -> bool:
        """Write `what` down, after what was taken from a list; with a step that is done goes its clock."""
        taken = self._taken
        said = self.go_on(lambda desk: desk.say_all(*taken).say(what))
        if said and self._times_step and isinstance(what, RemedyDone | Rested):
            self.countdown = None
            self.query_one(Clock).show(None, self.ticks())
        return said

    async def on_key_cap_pressed(self, message: KeyCap.Pressed) -> None:
        """Take a click for its key."""
        await self.run_action(message.action)

    def action_all_fine(self) -> None:
        """Say that nothing is wrong in this priority."""
        if isinstance(self.card, OverviewCard):
            self.say(Overviewed(self.card.priority.id, fine=True, clear=self.card.clears))

    def action_something_wrong(self) -> None:
        """Say that something is wrong in this priority: a list follows."""
        if isinstance(self.card, OverviewCard):
            self.say(Overviewed(self.card.priority.id, fine=False))

    def action_ask_me(self) -> None:
        """Leave the list; one question at a time follows."""
        self.go_on(Desk.ask_instead)

    def action_done(self) -> None:
        """Write down that the step is done."""
        if isinstance(self.card, DoCard):
            operation = self.card.operation
            rested = Rested(operation.id, operation.new_sitting)
            self.say(rested if operation.is_rest else RemedyDone(operation.id))

    def action_rest_now(self) -> None:
        """Put the reed away until the next sitting."""
        if isinstance(self.card, RestCard):
            rest = self.card.operation
            self._stop_with(Rested(rest.id if rest is not None else None, new_sitting=True))

    @work(exclusive=True, group="asking")
    async def action_stop(self) -> None:
        """Enough for today, whatever the card says."""
        rest = await ask_rest(self.app, self.desk.ruleset)
        if rest is not None:
            self._stop_with(rest)

    def _stop_with(self, rest: Rested) -> None:
        if self.say(rest):
            kept = self.desk.log is not None
            self.post_message(self.Closed(worded(RESTS if kept else NOT_KEPT)))

    def action_finding(self) -> None:
        """Say something that was not asked."""
        self.say_what(
            ask_finding(self.app, self.desk.ruleset, self.settings.notes, self.desk.interview.case.sitting)
        )

    def action_measure(self) -> None:
        """Give a reading that was not asked for."""
        self.say_what(ask_reading(self.app, self.desk.ruleset, self.length))

    def action_other(self) -> None:
        """Say that something else was done."""
        self.say_what(ask_operation(self.app, self.desk.ruleset))

    def action_remark(self) -> None:
        """Write a line into the log."""
        self.say_what(ask_remark(self.app))

    def action_blade(self) -> None:
        """Say which blade is up."""
        if self.desk.ruleset.blades < 2:
            self.notify(worded("A single reed has one blade."), markup=False)
            return
        history = self.desk.history
        self.say_what(ask_blade(self.app, history.blade_up if history is not None else ""))

    def action_weather(self) -> None:
        """Say how warm and how damp it is."""
        self.say_what(ask_weather(self.app))

    def action_where(self) -> None:
        """Show the place of the step before it is done."""
        from tui.app.screens.where import WhereSheet  # noqa: PLC0415 - a first question needs none

        if isinstance(self.card, DoCard) and self.card.operation.zone is not None:
            operation = self.card.operation
            self.app.push_screen(WhereSheet(self.desk.ruleset, self.card.operation.zone, operation))

    @work(exclusive=True, group="asking")
    async def action_clock(self) -> None:
        """Start a wait, or let it stand, go on, or put the clock away when its time is up."""
        now = self.ticks()
        if self.countdown is None:
            minutes = wait_of(self.card)
            self._times_step = minutes is not None
            minutes = minutes if minutes is not None else await ask_minutes(self.app)
            self.countdown = None if minutes is None else Countdown.of_minutes(minutes, self.ticks())
        else:
            self.countdown = None if self.countdown.is_over(now) else self.countdown.turned(now)
        self.query_one(Clock).show(self.countdown, self.ticks())

    def on_clock_beat(self) -> None:
        """Let a second pass; ring when it was the last, for those who like that."""
        now = self.ticks()
        self.query_one(Clock).show(self.countdown, now)
        if self.countdown is not None and self.countdown.is_over(now) and self.settings.ring:
            self.app.bell()

    def action_grade(self) -> None:
        """Say what the reed is good for."""
        self.say_what(ask_grade(self.app))

    def action_take_back(self) -> None:
        """Take back the last thing said or done."""
        self.take_back()

    def action_trail(self) -> None:
        """Show all that was found and done, to take any of it back."""
        lines = trail_of(self.desk.revocable(), self.desk.ruleset, self.length)
        self.back_what(ask_entry(self.app, worded("So far. Which is to be taken back?"), lines))

    @work(exclusive=True, group="asking")
    async def action_why(self) -> None:
        """Give all reasons, with figures. Worked out beside the screen: it takes a belief for each answer."""
        from tui.app.pages import why_page  # noqa: PLC0415 - loads numpy

        desk = self.desk
        page = await asyncio.to_thread(lambda: why_page(desk, desk.interview.reasons()))
        await self.app.push_screen(PageSheet(worded("Why this step"), page))

    @work(exclusive=True, group="asking")
    async def action_map(self) -> None:
        """Show the map with what is known of this reed, at what the card is about."""
        from tui.app.marks import marks_now  # noqa: PLC0415 - a first question needs no map
        from tui.app.screens.map import MapScreen  # noqa: PLC0415 - the same

        desk, card = self.desk, self.card
        marks = await asyncio.to_thread(marks_now, desk.name, desk.ruleset, desk.interview)
        at = about(card) or likeliest(desk.interview.advice)
        await self.app.push_screen(
            MapScreen(desk.ruleset, marks, self.length, at, self.settings.notes, _kept(desk))
        )

    @work(exclusive=True, group="keeping")
    async def action_keep_file(self) -> None:
        """Keep map, handout, tree, chart or reed as a file."""
        from tui.app.screens.keeping import keep_as_file  # noqa: PLC0415 - a first question keeps none
        from tui.offering import Subject  # noqa: PLC0415 - the same

        reed, entries = _kept(self.desk) or (None, ())
        at = about(self.card)
        await keep_as_file(
            self.app, Subject(self.desk.ruleset, self.length, at=at, reed=reed, entries=entries)
        )

    async def action_lengths(self) -> None:
        """Show lengths the other way; kept for the next time."""
        self.length = Length.INCH if self.length is Length.MM else Length.MM
        try:
            self.keep_length(self.length)
        except OSError as error:
            said = worded(
                "For this sitting only: the settings cannot be written ({error}).", error=error.strerror
            )
            self.notify(literal(said), severity="warning", markup=False)
        await self.show_desk()


def _kept(desk: Desk) -> tuple[ReedHistory, tuple[Entry, ...]] | None:
    """Give the reed with its entries; None where it has no name, and nothing is kept of it."""
    history = desk.history if desk.name else None
    return None if history is None else (history, desk.entries)
