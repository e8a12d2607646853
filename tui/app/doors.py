"""Every screen that the box of reeds leads to, and the box: made of what the machine holds.

Screens are imported when their door is opened: a first question waits for none of them.
"""

from collections.abc import Callable
from enum import StrEnum
from typing import TYPE_CHECKING, Any, Final

from textual.screen import Screen

from kb.log.entry import Entry, EntryId, What
from kb.log.fault import LogError
from kb.log.replay import ReedHistory
from kb.model import Ruleset
from kb.settings import read_settings, write_units
from kb.units import Length
from tui.box import histories
from tui.choosing import NoRuleset, choose
from tui.desk import Desk
from tui.language import worded, worded_later
from tui.shelf import ShelfError, installed_ids, ready_ruleset
from tui.wiring import Surroundings, chance_of, some_reed

if TYPE_CHECKING:
    from kb.log.store import ReedLog  # loads SQLite, which a desk without a named reed does not need

NOTHING_WRONG: Final = worded_later(
    "By this ruleset no reed has a symptom, so there is nothing to practise on."
)


class Place(StrEnum):
    """Where one can go with a ruleset."""

    MAP = "map"
    RULES = "rules"
    PRACTICE = "practice"


def opened(place: Place, said: str, around: Surroundings) -> Screen[Any] | str:
    """Make the screen of `place` for the ruleset called `said`, or say why there is none."""
    match place:
        case Place.MAP:
            return _map(said, around)
        case Place.RULES:
            return _rules(said)
        case Place.PRACTICE:
            return _practice(said, around)


def _map(said: str, around: Surroundings) -> Screen[Any] | str:
    from tui.app.marks import Marks  # noqa: PLC0415 - see above
    from tui.app.screens.map import MapScreen  # noqa: PLC0415 - see above

    try:
        ruleset = ready_ruleset(said).ruleset
    except ShelfError as fault:
        return str(fault)
    settings = read_settings(around.config_folder)
    return MapScreen(ruleset, Marks(), settings.units, names=settings.notes)


def _rules(said: str) -> Screen[Any] | str:
    from tui.app.screens.rules import RulesScreen  # noqa: PLC0415 - see above
    from tui.manuscript import open_manuscript  # noqa: PLC0415 - see above

    try:
        return RulesScreen(open_manuscript(said))
    except ShelfError as fault:
        return str(fault)


def _practice(said: str, around: Surroundings) -> Screen[Any] | str:
    try:
        ruleset = ready_ruleset(said).ruleset
    except ShelfError as fault:
        return str(fault)
    return practice_screen(ruleset, some_reed(around.new_id()), around) or worded(NOTHING_WRONG)


def practice_screen(ruleset: Ruleset, number: int, around: Surroundings) -> Screen[Any] | None:
    """Make the screen of a virtual reed; None when by this ruleset no reed has a symptom."""
    from engine.practice import begin  # noqa: PLC0415 - loads the numbers
    from tui.app.screens.practice import PracticeScreen  # noqa: PLC0415 - see above

    source = chance_of(number, 0)
    practice = begin(ruleset, source)
    if practice is None:
        return None
    settings = read_settings(around.config_folder)
    return PracticeScreen(practice, source, lambda: chance_of(number, 0), number, settings)


def reeds_screen(log: "ReedLog", around: Surroundings, show: Callable[[Screen[Any]], None]) -> Screen[Any]:
    """Make the box of reeds of `log`; `show` goes to another screen."""
    from tui.app.screens.reeds import Box, ReedsScreen  # noqa: PLC0415 - a sitting needs none of these

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

    settings = read_settings(around.config_folder)
    return ReedsScreen(
        Box(
            reeds=lambda: histories(log),
            rulesets=installed_ids(),
            open_reed=open_reed,
            show_desk=lambda desk: show(sitting_screen(desk, around, None)),
            entries=lambda reed: log.entries_of(reed.id),
            rules=rules,
            enter=enter,
            now=around.now,
            length=settings.units,
            notes=settings.notes,
        )
    )


def sitting_screen(desk: Desk, around: Surroundings, length: Length | None) -> Screen[Any]:
    """Make the screen of a reed on the desk; `length` stands in place of the maker's habit."""
    from tui.app.screens.sitting import SittingScreen  # noqa: PLC0415 - the box of reeds needs none

    folder = around.config_folder
    settings = read_settings(folder)
    shown = length if length is not None else settings.units
    return SittingScreen(desk, shown, lambda liked: write_units(folder, liked), settings, around.ticks)
