"""Words for what the engine hands over as values, the same in every front.

Chances and minutes are worded by the engine itself, in whose sentences they stand; they are passed on
from here so that a screen and the sentence beside it never say the same thing differently.
"""

from typing import Final

from engine.case import Case
from engine.wording import LARGE_UNLISTED as UNLISTED_IS_LARGE
from engine.wording import in_words as chance_word
from engine.wording import minutes
from engine.wording import percent as per_cent
from kb.model import Ending, Ruleset, Undo

__all__ = [
    "ENDINGS",
    "OPENING",
    "UNDO",
    "UNLISTED_IS_LARGE",
    "answered_when",
    "chance_word",
    "minutes",
    "per_cent",
]

OPENING: Final = "This belongs to the routine that begins every sitting."
"""Why an opening question is asked."""
UNDO: Final = {
    Undo.FULLY: "can be undone",
    Undo.PARTLY: "can be undone in part",
    Undo.NEVER: "cannot be undone",
}
ENDINGS: Final = {
    Ending.READY: "The reed is ready.",
    Ending.ACCEPT: "Take the reed as it is.",
    Ending.SET_ASIDE: "Set this reed aside.",
}


def answered_when(ruleset: Ruleset, case: Case, round_: int) -> str:
    """Say of an answer's round, counted from 1, what it lies before; nothing of the present one."""
    gap = case.rounds[round_ - 1].gap if round_ <= len(case.rounds) else None
    if gap is None:
        return ""
    operation = None if gap.operation is None else ruleset.operation.get(gap.operation)
    return f"before “{operation.title}”" if operation is not None else "at an earlier sitting"
