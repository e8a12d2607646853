"""From entries to what a reed is now. Taken-back entries are resolved here, once, for everyone.

standing(entries)    the entries that count
history(entries)     the reed's name, blade, sittings, grade, ruleset
"""

from collections.abc import Iterable
from dataclasses import dataclass

from kb.log.entry import (
    BladeUp,
    Entry,
    EntryId,
    Graded,
    Pinned,
    ReedId,
    ReedMade,
    Renamed,
    RulesetMark,
    SittingOpened,
    TakenBack,
)


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
    name = blade = grade = ""
    sittings = 0
    mark: RulesetMark | None = None
    pinned = False
    for entry in standing(every):
        if entry.mark is not None and not pinned:
            mark = entry.mark
        match entry.what:
            case ReedMade(made, up):
                name, blade = made, up
            case Renamed(new):
                name = new
            case BladeUp(up):
                blade = up
            case SittingOpened(number):
                sittings = number
            case Graded(given):
                grade = given
            case Pinned(chosen):
                mark, pinned = chosen, True
            case _:
                pass
    return ReedHistory(every[0].reed, name, blade, sittings, grade, mark, pinned, every[0].at, every[-1].at)


def by_reed(entries: Iterable[Entry]) -> tuple[tuple[Entry, ...], ...]:
    """Part the entries of many reeds, each reed's in order, reeds by their first entry."""
    parted: dict[ReedId, list[Entry]] = {}
    for entry in entries:
        parted.setdefault(entry.reed, []).append(entry)
    return tuple(tuple(one) for one in parted.values())
