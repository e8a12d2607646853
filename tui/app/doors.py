"""Where the keys of the box of reeds lead besides the desk: a ruleset's map, its text, a reed to practise on.

Screens are imported when their door is opened: a first question waits for none of them.
"""

from enum import StrEnum
from typing import Any

from textual.screen import Screen

from kb.settings import read_settings
from tui.shelf import ShelfError, usable_ruleset
from tui.wiring import Surroundings


class Place(StrEnum):
    """Where one can go with a ruleset."""

    MAP = "map"
    RULES = "rules"


def opened(place: Place, said: str, around: Surroundings) -> Screen[Any] | str:
    """Make the screen of `place` for the ruleset called `said`, or say why there is none."""
    match place:
        case Place.MAP:
            return _map(said, around)
        case Place.RULES:
            return _rules(said)


def _map(said: str, around: Surroundings) -> Screen[Any] | str:
    from tui.app.known import Known  # noqa: PLC0415 - see above
    from tui.app.screens.map import MapScreen  # noqa: PLC0415 - see above

    try:
        ruleset = usable_ruleset(said)
    except ShelfError as fault:
        return str(fault)
    return MapScreen(ruleset, Known(), read_settings(around.config_folder).units)


def _rules(said: str) -> Screen[Any] | str:
    from tui.app.screens.rules import RulesScreen  # noqa: PLC0415 - see above
    from tui.manuscript import open_manuscript  # noqa: PLC0415 - see above

    try:
        return RulesScreen(open_manuscript(said))
    except ShelfError as fault:
        return str(fault)
