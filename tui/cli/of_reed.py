"""A reed of the log, found by its name and judged, for commands that draw or tell of it."""

from kb.model import Ruleset
from tui.box import find, histories, log_path, no_such_reed
from tui.judged import Judged, judge
from tui.shelf import ShelfError
from tui.wiring import Surroundings


def take_up(name: str, ruleset: Ruleset, around: Surroundings) -> Judged:
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
        return judge(reed, log.entries_of(reed.id), ruleset)
