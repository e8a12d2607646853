"""The box of reeds: how each stands, which one is on the desk next, or a new one."""

import asyncio
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.content import Content
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Static

from engine.interview import Interview
from kb.log.entry import Entry, Graded, Rested, What
from kb.log.fault import LogError
from kb.log.replay import ReedHistory
from kb.model import Ruleset
from kb.notes import NoteNames
from kb.units import Length
from tui.app import keys
from tui.app.look import USUAL, WIDTHS
from tui.app.screens.asking import ask_grade, ask_reason, ask_rest, ask_ruleset
from tui.app.screens.sheet import ChoiceSheet, LineSheet, PageSheet, Row
from tui.app.story import age_in_words, standing_in_words, story_page
from tui.app.widgets.keyline import KeyLine
from tui.app.widgets.rowlist import RowList
from tui.box import find, reed_name
from tui.desk import Desk
from tui.draw.cells import cells, fitted, padded
from tui.draw.literal import literal
from tui.language import worded, worded_later

EMPTY = worded_later(
    "Nothing here yet. Press n to put a first reed on the desk. Give it a name that you will know it by: "
    "what you find, do and measure is kept under it from then on."
)
ASIDE = "set aside"
"""The grade that the log knows; it is not translated there."""
THIS_REED = "this reed"
"""No ruleset's id: it has a space."""
ROOMY = 96
"""Cells of width from which the age has a column of its own; the story tells it in any case."""
NAME = 17
"""Cells of a name where there is little room; in a wider window a long one has what is left."""


@dataclass(frozen=True, slots=True)
class Box:
    """What the screen asks of the world: the log and its rules, the desk, the time."""

    reeds: Callable[[], tuple[ReedHistory, ...]]
    rulesets: Sequence[str]
    open_reed: Callable[[str, ReedHistory | None, str | None], Desk]
    """Opens a reed by its name (None: it is new) under a ruleset (None: its own). Raises LogError."""
    show_desk: Callable[[Desk], None]
    entries: Callable[[ReedHistory], tuple[Entry, ...]]
    rules: Callable[[ReedHistory], Ruleset | None]
    """Gives the rules that a reed is judged by, None where they cannot be had."""
    enter: Callable[[ReedHistory, What], None]
    """Writes one entry for a reed. Raises LogError."""
    now: Callable[[], datetime]
    length: Length = Length.MM
    notes: NoteNames = NoteNames.ENGLISH


class ReedsScreen(Screen[None]):
    """All reeds of the log, the last used first."""

    BINDINGS: ClassVar[list[BindingType]] = [*keys.BOX]
    HORIZONTAL_BREAKPOINTS = WIDTHS

    @dataclass
    class Wanted(Message):
        """The maker wants to go elsewhere with a ruleset: to its map, its text, a reed to practise on."""

        place: str
        ruleset: str

    def __init__(self, box: Box) -> None:
        """Show what is in `box`."""
        super().__init__()
        self._box = box
        self.reeds: tuple[ReedHistory, ...] = ()
        """Those that are shown: all, or what the filter leaves."""
        self.words = ""
        """What a reed must hold to be shown; empty: anything."""

    def compose(self) -> ComposeResult:
        """Heading, list, and what to do with an empty box."""
        with Vertical(id="box"):
            yield Static(id="heading", markup=False)
            yield Static(id="empty", markup=False)
            yield RowList()
        yield KeyLine()

    def on_mount(self) -> None:
        """Name the keys."""
        self.query_one(KeyLine).name_keys([*keys.BOX, keys.HELP, keys.LEAVE])

    def on_screen_resume(self) -> None:
        """Look into the box: a sitting may have changed it."""
        self._fill()

    def on_resize(self) -> None:
        """Lay the columns out anew."""
        self._fill()

    def on_row_list_taken(self, message: RowList.Taken) -> None:
        """Lay a reed on the desk."""
        message.stop()
        reed = self.reeds[message.index]
        self._lay(reed.name, reed, None)

    @work(exclusive=True)
    async def action_new(self) -> None:
        """Ask for a name, and for a ruleset where there are several."""
        hint, typed = worded("A name you will know it by, such as: spring cane 3"), ""
        while True:
            written = await self.app.push_screen_wait(
                LineSheet(worded("A new reed. What is it called?"), hint, typed)
            )
            if written is None:
                return
            name, typed = reed_name(written), written
            if name is None:
                hint = worded("▲ A name has 1 to 80 visible characters.")
            elif find(self._box.reeds(), name) is not None:
                hint = worded("▲ A reed of that name is in the box already.")
            else:
                break
        ruleset = await self._which()
        if ruleset is not None or not self._box.rulesets:
            self._lay(name, None, ruleset)

    @work(exclusive=True)
    async def action_filter(self) -> None:
        """Show only reeds that hold some words."""
        hint = worded("Of name, grade, blank or how it stands; Esc shows all again")
        words = await self.app.push_screen_wait(LineSheet(worded("Show only reeds with"), hint, self.words))
        self.words = words or ""
        self._fill()

    def action_story(self) -> None:
        """Tell a reed's story: what was measured, found and done."""
        reed = self._marked()
        if reed is not None:
            rules, entries, now = self._box.rules(reed), self._box.entries(reed), self._box.now()

            def page(width: int) -> Content:
                return story_page(reed, entries, rules, self._box.length, now, width)

            self.app.push_screen(PageSheet(literal(reed.name), page))

    @work(exclusive=True)
    async def action_grade(self) -> None:
        """Say what a reed is good for."""
        reed = self._marked()
        if reed is not None:
            self._enter(reed, await ask_grade(self.app))

    @work(exclusive=True)
    async def action_aside(self) -> None:
        """Set a reed aside, with a reason."""
        reed = self._marked()
        if reed is not None:
            reason = await ask_reason(self.app, worded("Set “{name}” aside. Why?", name=literal(reed.name)))
            self._enter(reed, None if reason is None else Graded(ASIDE, reason))

    @work(exclusive=True)
    async def action_rest(self) -> None:
        """Let a reed rest until its next sitting."""
        reed = self._marked()
        rules = None if reed is None else self._box.rules(reed)
        if reed is not None and rules is None:
            self._enter(reed, Rested(None, new_sitting=True))
        elif reed is not None and rules is not None:
            self._enter(reed, await ask_rest(self.app, rules))

    @work(exclusive=True)
    async def action_go(self, place: str) -> None:
        """Go elsewhere with a ruleset: asked for where there are several. A map may be the marked reed's."""
        reed = self._marked() if place == "map" else None
        rules = None if reed is None else self._box.rules(reed)
        own = (
            ()
            if reed is None or rules is None
            else (Row(THIS_REED, literal(reed.name), worded("as it stands")),)
        )
        ruleset = await ask_ruleset(self.app, worded("Of which rules?"), own)
        if reed is not None and rules is not None and ruleset == THIS_REED:
            await self._show_map(reed, rules)
        elif ruleset is not None:
            self.post_message(self.Wanted(place, ruleset))

    async def _show_map(self, reed: ReedHistory, rules: Ruleset) -> None:
        from tui.app.marks import marks_now  # noqa: PLC0415 - the box itself weighs nothing
        from tui.app.scene import likeliest  # noqa: PLC0415 - the same
        from tui.app.screens.map import MapScreen  # noqa: PLC0415 - the same

        entries = self._box.entries(reed)
        interview = Interview.begin(rules, entries)
        marks = await asyncio.to_thread(marks_now, reed.name, rules, interview)
        at = likeliest(interview.advice)
        await self.app.push_screen(
            MapScreen(rules, marks, self._box.length, at, self._box.notes, (reed, entries))
        )

    @work(exclusive=True, group="keeping")
    async def action_keep_file(self) -> None:
        """Keep the marked reed's handout, its map, or what goes with it as a file."""
        from tui.app.screens.keeping import keep_as_file  # noqa: PLC0415 - only when something is kept
        from tui.offering import Subject  # noqa: PLC0415 - the same

        reed = self._marked()
        rules = None if reed is None else self._box.rules(reed)
        if reed is None or rules is None:
            self.notify(worded("Mark a reed whose rules are here: it is what is kept."), markup=False)
            return
        entries = self._box.entries(reed)
        await keep_as_file(self.app, Subject(rules, self._box.length, reed=reed, entries=entries))

    async def _which(self) -> str | None:
        if len(self._box.rulesets) < 2:
            return next(iter(self._box.rulesets), None)
        # The rules of the reed last used come first, so that Enter goes on as before.
        last = next((reed.mark.id for reed in self._box.reeds() if reed.mark is not None), None)
        first = sorted(self._box.rulesets, key=lambda one: one != last)
        rows = [Row(one, literal(one)) for one in first]
        return await self.app.push_screen_wait(ChoiceSheet(worded("By which rules?"), rows))

    def _marked(self) -> ReedHistory | None:
        marked = self.query_one(RowList).highlighted
        return self.reeds[marked] if marked is not None and marked < len(self.reeds) else None

    def _enter(self, reed: ReedHistory, what: What | None) -> None:
        if what is None:
            return
        try:
            self._box.enter(reed, what)
        except LogError as error:
            self.notify(
                worded("Not written. {error}", error=literal(str(error))),
                severity="error",
                timeout=20,
                markup=False,
            )
        self._fill()

    def _lay(self, name: str, reed: ReedHistory | None, ruleset: str | None) -> None:
        try:
            desk = self._box.open_reed(name, reed, ruleset)
        except LogError as error:
            self.notify(literal(str(error)), severity="error", timeout=20, markup=False)
            return
        self._box.show_desk(desk)

    def _fill(self) -> None:
        every, now, width = self._box.reeds(), self._box.now(), self.app.size.width
        wanted = self.words.casefold().split()
        self.reeds = tuple(reed for reed in every if all(word in _words_of(reed, now) for word in wanted))
        said = (
            worded(
                "only with “{words}”: {count} of {all}",
                words=literal(self.words),
                count=len(self.reeds),
                all=len(every),
            )
            if wanted
            else ""
        )
        heading = Content.assemble(
            (worded("The box of reeds"), "bold $now"), (f"   {said}" if said else "", "$quiet")
        )
        self.query_one("#heading", Static).update(heading)
        rows = self.query_one(RowList)
        names = max((cells(literal(reed.name)) for reed in self.reeds), default=0)
        rows.refill([row_of(reed, now, width, names) for reed in self.reeds])
        rows.display = bool(self.reeds)
        nothing = worded(EMPTY) if not every else worded("No reed is like that.") if not self.reeds else ""
        empty = self.query_one("#empty", Static)
        empty.display = bool(nothing)
        empty.update(Content(nothing))
        if self.reeds:
            rows.focus()


def row_of(reed: ReedHistory, now: datetime, width: int, names: int = NAME) -> Content:
    """Give one reed on a line, in columns where there is room for them; `names` cells hold every name."""
    stands, grade = standing_in_words(reed, now), literal(reed.grade) or "–"
    if width < USUAL:
        return Content.assemble((literal(reed.name), "bold"), (f"  {stands}", "$quiet"))
    grade = f"★ {grade}" if reed.grade else grade
    room = max(NAME, min(names, NAME + width - ROOMY))
    name = padded(fitted(literal(reed.name), room), room)
    columns = [
        padded(fitted(grade, 12), 12),
        padded(fitted(stands, 23), 23),
        worded("{count} sitt.", count=f"{reed.sittings:>2}"),
        # What was never told is not none.
        f"{reed.hours_played:>4.3g} h" if reed.hours_played else "   – h",
    ]
    if width >= ROOMY:
        columns.append(age_in_words(reed, now).rjust(9))
    return Content.assemble((name, "bold"), (" " + " ".join(columns), "$quiet"))


def _words_of(reed: ReedHistory, now: datetime) -> str:
    blank = reed.blank
    parts = (blank.cane, blank.shape, blank.gouge, blank.profile, blank.built_by)
    said = [reed.name, reed.grade, reed.reason, standing_in_words(reed, now), *(part or "" for part in parts)]
    return " ".join(said).casefold()
