"""A reed of the log, as drawings and pages take it up: its entries, its case, what is believed of it."""

from collections.abc import Sequence
from dataclasses import dataclass

from engine.belief import Belief, believe
from engine.case import Case, case_of_entries
from kb.log.entry import Entry
from kb.log.replay import ReedHistory, standing
from kb.model import Ruleset
from tui.draw.known import Known, known_of


@dataclass(frozen=True, slots=True)
class Judged:
    """One reed under one ruleset."""

    history: ReedHistory
    entries: tuple[Entry, ...]
    """Those that count, oldest first."""
    case: Case
    belief: Belief
    known: Known


def judge(reed: ReedHistory, entries: Sequence[Entry], ruleset: Ruleset) -> Judged:
    """Judge a reed by `ruleset`; `entries` are all of it. Raises TooWideError."""
    counting = standing(entries)
    case, _ = case_of_entries(ruleset, counting)
    belief = believe(ruleset, case)
    return Judged(reed, counting, case, belief, known_of(reed.name, ruleset, case, belief))
