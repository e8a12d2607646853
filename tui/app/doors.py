"""Where the keys of the box of reeds lead besides the desk: a ruleset's map, its text, a reed to practise on.

Screens are imported when their door is opened: a first question waits for none of them.
"""

from enum import StrEnum
from typing import Any, Final

from textual.screen import Screen

from kb.model import Ruleset
from kb.settings import read_settings
from tui.shelf import ShelfError, ready_ruleset
from tui.wiring import Surroundings, chance_of, some_reed

NOTHING_WRONG: Final = "By this ruleset no reed has a symptom, so there is nothing to practise on."


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
    return practice_screen(ruleset, some_reed(around.new_id()), around) or NOTHING_WRONG


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
