"""A reed of the log, as drawings and pages take it up: its entries, its case, what is believed of it."""

from dataclasses import dataclass

from engine.belief import Belief, believe
from engine.case import Case, case_of_entries
from kb.log.entry import Entry
from kb.log.replay import ReedHistory, standing
from kb.model import Ruleset
from tui.box import find, histories, log_path, no_such_reed
from tui.draw.known import Known, known_of
from tui.shelf import ShelfError
from tui.wiring import Surroundings


@dataclass(frozen=True, slots=True)
class TakenUp:
    """One reed under one ruleset."""

    history: ReedHistory
    entries: tuple[Entry, ...]
    """Those that count, oldest first."""
    case: Case
    belief: Belief
    known: Known


def take_up(name: str, ruleset: Ruleset, around: Surroundings) -> TakenUp:
    """Read a reed of the log and judge it by `ruleset`. Raises ShelfError, LogError, TooWideError."""
    from kb.log.store import ReedLog  # noqa: PLC0415 - loads SQLite, which a map of rules does not need

    path = log_path(around.data_folder)
    if not path.exists():
        raise ShelfError("No reed is in the log yet. Begin one with: canebrake interview --reed NAME")
    with ReedLog.open(path) as log:
        reeds = histories(log)
        reed = find(reeds, name)
        if reed is None:
            raise ShelfError(no_such_reed(reeds, name))
        entries = standing(log.entries_of(reed.id))
    case, _ = case_of_entries(ruleset, entries)
    belief = believe(ruleset, case)
    return TakenUp(reed, entries, case, belief, known_of(reed.name, ruleset, case, belief))
