"""The desk: one reed being worked on, the same for the full screen and the plain front.

    desk = Desk.with_reed(log, found, chosen, clock=…, ids=…)
    desk.interview.card
    desk = desk.say(Answered(finding, answer))     # on disk first, then in the interview

A frozen value: every verb gives a new desk. A desk without a reed keeps nothing. Clock and ids are
handed in; nothing here reads them from the machine.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Final, Self

from engine.case import Case
from engine.interview import Interview
from engine.upkeep import rest_is_over
from kb.ids import FindingId
from kb.log.entry import (
    Answered,
    BladeUp,
    Blank,
    Entry,
    EntryId,
    Graded,
    Measured,
    Overviewed,
    Pictured,
    Played,
    ReedId,
    ReedMade,
    Remarked,
    RemedyDone,
    Rested,
    RulesetMark,
    SittingOpened,
    Strokes,
    TakenBack,
    ThicknessMeasured,
    Weather,
    What,
)
from kb.log.replay import ReedHistory, history, standing
from kb.model import QuantityRead, Ruleset, ThicknessRead
from tui.box import moment
from tui.language import worded

if TYPE_CHECKING:
    from kb.log.store import ReedLog  # loads SQLite, which a desk without a named reed does not need

SAME_SITTING: Final = timedelta(hours=4)
"""Work that goes on past midnight is still one sitting when the break is shorter than this."""
SHORT: Final = 12
"""Signs of a digest that are enough to name a kept ruleset by."""
NO_REED: Final = ReedId("")

_REVOCABLE: Final = (
    Answered,
    BladeUp,
    Blank,
    Graded,
    Measured,
    Overviewed,
    Pictured,
    Played,
    Remarked,
    RemedyDone,
    Rested,
    Strokes,
    ThicknessMeasured,
    Weather,
)
"""What `back` may take back. A sitting that was opened, a name and a pin stay; each has its own command."""


@dataclass(frozen=True, slots=True)
class ChosenRuleset:
    """A ruleset in use, with the text that the log keeps of it."""

    ruleset: Ruleset
    text: str
    bases: tuple[tuple[str, str], ...] = ()
    """Names and texts of what it extends, nearest first."""
    note: str = ""
    """What the maker should know about the choice; empty: nothing."""

    @property
    def mark(self) -> RulesetMark:
        """Give what entries made under it are marked with."""
        return RulesetMark(self.ruleset.id, self.ruleset.version, self.ruleset.digest)


@dataclass(frozen=True, slots=True)
class Desk:
    """One reed, the ruleset that it is judged by, and everything said so far."""

    ruleset: Ruleset
    mark: RulesetMark
    interview: Interview
    clock: Callable[[], datetime]
    ids: Callable[[], str]
    log: "ReedLog | None" = None
    """None: nothing is kept."""
    reed: ReedId = NO_REED
    name: str = ""
    entries: tuple[Entry, ...] = ()
    """Every entry of the reed, oldest first, taken-back ones included."""
    unwritten: tuple[Entry, ...] = ()
    """The last of them, as far as they wait for a first word: a mere look opens no sitting, ends no rest."""
    hours_left: float | None = None
    notes: tuple[str, ...] = ()
    """What the maker should know before going on, as sentences."""

    @classmethod
    def without_reed(
        cls,
        chosen: ChosenRuleset,
        *,
        clock: Callable[[], datetime],
        ids: Callable[[], str],
        hours_left: float | None = None,
    ) -> Self:
        """Begin on a reed that has no name; nothing is kept."""
        begun = Interview.begin(chosen.ruleset, (), hours_left=hours_left)
        return cls(chosen.ruleset, chosen.mark, begun, clock, ids, hours_left=hours_left)

    @classmethod
    def with_reed(  # noqa: PLR0913 - what a desk is made of, all named
        cls,
        log: "ReedLog",
        name: str,
        found: ReedHistory | None,
        chosen: ChosenRuleset,
        *,
        clock: Callable[[], datetime],
        ids: Callable[[], str],
        hours_left: float | None = None,
        new_sitting: bool = False,
    ) -> Self:
        """Take up a reed where it was left, or make it (`found` is None); a sitting opens when it is due.

        That is written with the first thing said. A new reed is written at once, and so is a sitting
        where `new_sitting` says that one begins, whatever the clock says. Raises LogError.
        """
        log.keep_ruleset(chosen.mark, chosen.text, *chosen.bases)
        entries = log.entries_of(found.id) if found is not None else ()
        begun = Interview.begin(chosen.ruleset, entries, hours_left=hours_left)
        desk = cls(
            chosen.ruleset,
            chosen.mark,
            begun,
            clock,
            ids,
            log,
            ReedId(ids()) if found is None else found.id,
            name if found is None else found.name,
            entries,
            hours_left=hours_left,
            notes=(*_resting(found, clock()), *_notes(found, chosen, begun)),
        )
        if found is None:
            return desk._all(ReedMade(name), SittingOpened(1))
        opening = _opening(found, entries, begun.case, clock(), wanted=new_sitting)
        return desk._all(*opening) if new_sitting else desk._foreseeing(*opening)

    def say(self, what: What) -> Self:
        """Write what was said to disk, and only then take it in. Raises LogError; then nothing changed."""
        return self._all(self._with_hours(what))

    def say_all(self, *whats: What) -> Self:
        """Write several things to disk together, all or none, and only then take them in."""
        return self._all(*whats)

    def _with_hours(self, what: What) -> What:
        """Keep with a rest how long it should lie: a box of reeds then knows without reading any rules."""
        if not isinstance(what, Rested) or what.rest is None or what.hours is not None:
            return what
        operation = self.ruleset.operation.get(what.rest)
        return what if operation is None or not operation.hours else replace(what, hours=operation.hours)

    def take_back(self, entry: EntryId | None = None) -> Self | None:
        """Take back an entry, by default the last one of this sitting; None when there is none.

        Naming a taking-back makes what it took back count again.
        """
        chosen = entry if entry is not None else self._last_revocable()
        if chosen is None:
            return None
        return self._all(TakenBack(chosen))

    def ask_instead(self) -> Self:
        """On a list of symptoms to pick from: let the engine ask. Not logged."""
        return replace(self, interview=self.interview.without_picking())

    def open_sitting(self, temperature: float | None = None, humidity: float | None = None) -> Self:
        """Begin a new sitting now, because the maker says so; a night in between is taken as nothing done."""
        opened = SittingOpened(self.interview.case.sitting + 1, temperature, humidity)
        return self._all(*_after_a_night(self.interview.case, opened))

    @property
    def standing(self) -> tuple[Entry, ...]:
        """The entries that count, oldest first."""
        return standing(self.entries)

    @property
    def history(self) -> ReedHistory | None:
        """What the reed's entries tell of it; None before there is any."""
        return history(self.entries) if self.entries else None

    def revocable(self) -> tuple[Entry, ...]:
        """Give the entries that may be taken back, oldest first."""
        return tuple(entry for entry in self.standing if isinstance(entry.what, _REVOCABLE))

    def entries_behind(self, round_: int, finding: FindingId) -> tuple[EntryId, ...]:
        """Give the entries that answer `finding` in that round (from 1): by word, overview or reading."""
        number, behind = 1, []
        for entry in self.standing:
            if number == round_ and self._answers(entry.what, finding):
                behind.append(entry.id)
            if isinstance(entry.what, RemedyDone | Rested):
                number += 1
        return tuple(behind)

    def _answers(self, what: What, finding: FindingId) -> bool:
        if isinstance(what, Answered):
            return what.finding == finding
        if isinstance(what, Overviewed):
            return what.fine and finding in what.clear
        if isinstance(what, Measured):
            known = self.ruleset.finding.get(finding)
            read = None if known is None else known.read
            return isinstance(read, QuantityRead) and read.quantity == what.quantity
        if isinstance(what, ThicknessMeasured):
            known = self.ruleset.finding.get(finding)
            return known is not None and isinstance(known.read, ThicknessRead)
        return False

    def _last_revocable(self) -> EntryId | None:
        for entry in reversed(self.standing):
            if isinstance(entry.what, SittingOpened):
                return None
            if isinstance(entry.what, _REVOCABLE):
                return entry.id
        return None

    def _all(self, *whats: What) -> Self:
        if not whats:
            return self
        entries = tuple(self._entry(what) for what in whats)
        if self.log is not None:
            self.log.append(*self.unwritten, *entries)
        return replace(self._taken_in(entries), unwritten=())

    def _foreseeing(self, *whats: What) -> Self:
        """Take in what will be written with the first thing said."""
        entries = tuple(self._entry(what) for what in whats)
        return replace(self._taken_in(entries), unwritten=entries)

    def _taken_in(self, entries: tuple[Entry, ...]) -> Self:
        interview = self.interview
        for entry in entries:
            interview = interview.with_entry(entry)
        return replace(self, entries=(*self.entries, *entries), interview=interview)

    def _entry(self, what: What) -> Entry:
        at = self.clock().isoformat(timespec="seconds")
        return Entry(EntryId(self.ids()), self.reed, at, self.mark, what)


def _opening(
    found: ReedHistory, entries: tuple[Entry, ...], case: Case, now: datetime, *, wanted: bool
) -> tuple[What, ...]:
    """Give what is entered when a known reed is taken up again."""
    if found.sittings == 0:
        return (SittingOpened(max(case.sitting, 1)),)
    if case.sitting > found.sittings:
        # A rest at the end of the last sitting has opened this one already.
        return (SittingOpened(case.sitting),)
    last = moment(entries[-1].at)
    another_day = now.date() != last.astimezone(now.tzinfo).date() and now - last >= SAME_SITTING
    if wanted or (another_day and _was_used(standing(entries))):
        return _after_a_night(case, SittingOpened(case.sitting + 1))
    return ()


def _was_used(entries: tuple[Entry, ...]) -> bool:
    """Whether anything was told or done in the last sitting; one that was only looked at goes on."""
    for entry in reversed(entries):
        if isinstance(entry.what, SittingOpened):
            return False
        if isinstance(entry.what, Answered | Overviewed | Measured | ThicknessMeasured | RemedyDone | Rested):
            return True
    return False


def _after_a_night(case: Case, opened: SittingOpened) -> tuple[What, ...]:
    """Give the night in which nothing was done, unless an operation has just ended the round."""
    if case.present.is_told:
        return Rested(None, new_sitting=True), opened
    return (opened,)


def _resting(found: ReedHistory | None, now: datetime) -> tuple[str, ...]:
    """Say that a reed is taken up before its rest is over: it may be worked on all the same."""
    over = None if found is None else rest_is_over(found)
    if over is None or now >= over:
        return ()
    until = f"{over.astimezone(now.tzinfo):%Y-%m-%d %H:%M}"
    return (
        worded("This reed was to rest until {time}, which is still ahead.", time=until),
        worded("Its rest goes on until you say something of it."),
    )


def _notes(found: ReedHistory | None, chosen: ChosenRuleset, begun: Interview) -> tuple[str, ...]:
    """Say that a reed was judged by other rules before, and which of its answers these do not know."""
    before = None if found is None else found.mark
    if found is None or before is None or before.digest == chosen.mark.digest:
        return (chosen.note,) if chosen.note else ()
    now = chosen.mark
    if before.id != now.id:
        first = worded(
            "So far this reed was judged by the ruleset {old}; from now on it is judged by {new}.",
            old=f"{before.id} {before.version}",
            new=f"{now.id} {now.version}",
        )
    elif before.version != now.version:
        first = worded(
            "The ruleset {id} has changed from version {old} to {new}.",
            id=now.id,
            old=before.version,
            new=now.version,
        )
    else:
        first = worded(
            "The text of the ruleset {ruleset} has changed since it was last used on this reed.",
            ruleset=f"{now.id} {now.version}",
        )
    notes = [first]
    left = begun.left_over
    if left:
        named = dict.fromkeys(_subject(entry.what) for entry in left)
        names = ", ".join(name for name in named if name)
        notes.append(worded("It no longer knows, and so leaves aside: {names}.", names=names))
    keep = f'canebrake reeds pin "{found.name}" {before.digest[:SHORT]}'
    notes.append(
        worded("To keep judging it by the old rules, which are kept with the reed: {command}", command=keep)
    )
    return tuple(notes)


def _subject(what: What) -> str:
    match what:
        case Answered(finding):
            return finding
        case Overviewed(priority):
            return priority
        case Measured(quantity):
            return quantity
        case RemedyDone(remedy):
            return remedy
        case Rested(rest):
            return rest or ""
        case _:
            return ""
