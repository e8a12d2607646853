"""From entries to what a reed is now. Taken-back entries are resolved here, once, for everyone.

standing(entries)        the entries that count
history(entries)         the reed's name, blank, sittings, grade, rest, ruleset
followed(known, entry)   the same after one more entry, without folding all anew
"""

from collections.abc import Iterable
from dataclasses import dataclass, fields, replace
from typing import Final

from kb.ids import RemedyId
from kb.log.entry import (
    Answered,
    BladeUp,
    Blank,
    Entry,
    EntryId,
    Graded,
    Measured,
    Overviewed,
    Pinned,
    Played,
    ReedId,
    ReedMade,
    RemedyDone,
    Renamed,
    Rested,
    RulesetMark,
    SittingOpened,
    TakenBack,
    ThicknessMeasured,
)

NO_BLANK: Final = Blank()


@dataclass(frozen=True, slots=True)
class Resting:
    """The rest that a reed was last given; nothing was found or done since."""

    rest: RemedyId | None
    """The ruleset's rest, or None where none was named."""
    since: str
    """When it began, ISO 8601."""
    hours: float | None
    """How long it should lie, where that was said."""
    new_sitting: bool


@dataclass(frozen=True, slots=True)
class ReedHistory:
    """One reed, as its entries tell it."""

    id: ReedId
    name: str
    """The latest; empty only for entries whose reed was never made (half an import)."""
    blade_up: str
    """Which blade is up, in the maker's words; empty: not said."""
    sittings: int
    """The number of its last sitting; 0 when there was none."""
    grade: str
    """The latest; empty: none was given."""
    mark: RulesetMark | None
    """The ruleset that it was last judged by, or is pinned to."""
    pinned: bool
    """Whether the maker pinned it to `mark`."""
    created: str
    """When its first entry was made, ISO 8601."""
    last_used: str
    """When its last entry was made."""
    reason: str = ""
    """Why it got its grade, in the maker's words."""
    blank: Blank = NO_BLANK
    """What it was made from; a part that is None or empty was not said."""
    hours_played: float = 0.0
    in_use_since: str = ""
    """When it was first played or graded for concert; empty: not yet."""
    resting: Resting | None = None
    """Its last rest, as long as nothing was found or done since."""


def standing(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """Give the entries that count, in order: without those taken back, and without the taking back.

    A taking-back can itself be taken back; then what it had removed counts again. Only what comes
    later can take an entry back, so one walk from the end settles every chain.
    """
    gone: set[EntryId] = set()
    stays: list[Entry] = []
    for entry in reversed(tuple(entries)):
        if entry.id in gone:
            continue
        if isinstance(entry.what, TakenBack):
            gone.add(entry.what.entry)
        else:
            stays.append(entry)
    return tuple(reversed(stays))


def history(entries: Iterable[Entry]) -> ReedHistory:
    """Fold all entries of one reed, taken-back ones included. Raises ValueError when there are none."""
    every = tuple(entries)
    if not every:
        message = "a reed without entries has no history"
        raise ValueError(message)
    told = _begun(every[0])
    for entry in standing(every):
        told = _told(told, entry)
    return replace(told, last_used=every[-1].at)


def followed(known: ReedHistory | None, entry: Entry) -> ReedHistory | None:
    """Give a history after one more entry (`known` is None: its first); None when all must be folded anew."""
    if isinstance(entry.what, TakenBack):
        return None
    return replace(_told(_begun(entry) if known is None else known, entry), last_used=entry.at)


def by_reed(entries: Iterable[Entry]) -> tuple[tuple[Entry, ...], ...]:
    """Part the entries of many reeds, each reed's in order, reeds by their first entry."""
    parted: dict[ReedId, list[Entry]] = {}
    for entry in entries:
        parted.setdefault(entry.reed, []).append(entry)
    return tuple(tuple(one) for one in parted.values())


def described(blank: Blank, more: Blank) -> Blank:
    """Give what is known of a blank after more was said about it."""
    said = {part.name: getattr(more, part.name) for part in fields(Blank)}
    return replace(blank, **{name: text for name, text in said.items() if text is not None})


def _begun(first: Entry) -> ReedHistory:
    return ReedHistory(first.reed, "", "", 0, "", None, False, first.at, first.at)


def _told(so_far: ReedHistory, entry: Entry) -> ReedHistory:  # noqa: C901, PLR0911 - a line for each kind of entry
    if entry.mark is not None and not so_far.pinned and entry.mark != so_far.mark:
        so_far = replace(so_far, mark=entry.mark)
    match entry.what:
        case ReedMade(made, up):
            return replace(so_far, name=made, blade_up=up)
        case Blank():
            return replace(so_far, blank=described(so_far.blank, entry.what))
        case Renamed(new):
            return replace(so_far, name=new)
        case BladeUp(up):
            return replace(so_far, blade_up=up)
        case SittingOpened(number):
            return replace(so_far, sittings=number)
        case Graded(grade, reason):
            since = so_far.in_use_since or (entry.at if grade == "concert" else "")
            return replace(so_far, grade=grade, reason=reason, in_use_since=since)
        case Played(hours):
            since = so_far.in_use_since or entry.at
            return replace(so_far, hours_played=so_far.hours_played + hours, in_use_since=since)
        case Rested(rest, new_sitting, hours):
            return replace(so_far, resting=Resting(rest, entry.at, hours, new_sitting))
        case Pinned(chosen):
            return replace(so_far, mark=chosen, pinned=True)
        case Answered() | Overviewed() | Measured() | ThicknessMeasured() | RemedyDone():
            return so_far if so_far.resting is None else replace(so_far, resting=None)
        case _:
            return so_far
