"""Words for what the engine hands over as values, the same in every front.

Chances and minutes are worded by the engine itself, in whose sentences they stand; they are passed on
from here so that a screen and the sentence beside it never say the same thing differently.
"""

from typing import Final

from engine.wording import LARGE_UNLISTED as UNLISTED_IS_LARGE
from engine.wording import in_words as chance_word
from engine.wording import minutes
from engine.wording import percent as per_cent
from kb.model import Ending, Undo

__all__ = ["ENDINGS", "OPENING", "UNDO", "UNLISTED_IS_LARGE", "chance_word", "minutes", "per_cent"]

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
