"""Words for what the engine hands over as values, the same in every front.

Chances and minutes are worded by the engine itself, in whose sentences they stand; they are passed on
from here, in the reader's language, so that a screen and the sentence beside it never say the same thing
differently.
"""

from typing import Final

from engine import wording
from engine.case import Case
from engine.wording import LARGE_UNLISTED as UNLISTED_IS_LARGE
from kb.model import Ending, Ruleset, Undo
from tui.language import worded, worded_count, worded_later

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

OPENING: Final = worded_later("This belongs to the routine that begins every sitting.")
"""Why an opening question is asked."""
UNDO: Final = {
    Undo.FULLY: worded_later("can be undone"),
    Undo.PARTLY: worded_later("can be undone in part"),
    Undo.NEVER: worded_later("cannot be undone"),
}
ENDINGS: Final = {
    Ending.READY: worded_later("The reed is ready."),
    Ending.ACCEPT: worded_later("Take the reed as it is."),
    Ending.SET_ASIDE: worded_later("Set this reed aside."),
}
_OF_THE_ENGINE: Final = (
    *(worded_later("yes"), worded_later("slightly"), worded_later("no"), worded_later("unsure")),
    *(worded_later("symptom"), worded_later("sign"), worded_later("cause")),
    *(worded_later("remedy"), worded_later("rest")),
    *(worded_later("almost ruled out"), worded_later("almost certain"), worded_later("likely")),
    *(worded_later("more likely than not"), worded_later("possible"), worded_later("less likely")),
    *(worded_later("unlikely"), worded_later("under 1 %"), worded_later("over 99 %")),
    *(worded_later("decisively for it"), worded_later("decisively against it")),
    *(worded_later("strongly for it"), worded_later("strongly against it")),
    *(worded_later("clearly for it"), worded_later("clearly against it")),
    *(worded_later("a little for it"), worded_later("a little against it"), worded_later("says nothing")),
    *(worded_later("new"), worded_later("due"), worded_later("ready")),
)
"""Words that are values of the engine or of rulesets, shown by `worded` of that value."""


def chance_word(chance: float) -> str:
    """Say a chance in a word or two."""
    return worded(wording.in_words(chance))


def per_cent(chance: float) -> str:
    """Give a chance in whole per cent, never rounded to certainty."""
    return worded(wording.percent(chance))


def minutes(number: float) -> str:
    """Say a number of minutes."""
    figure = wording.minutes(number).partition(" ")[0]
    count = 1 if figure == "1" else max(2, round(number))
    return worded_count("{figure} minute", "{figure} minutes", count, figure=figure)


def answered_when(ruleset: Ruleset, case: Case, round_: int) -> str:
    """Say of an answer's round, counted from 1, what it lies before; nothing of the present one."""
    gap = case.rounds[round_ - 1].gap if round_ <= len(case.rounds) else None
    if gap is None:
        return ""
    operation = None if gap.operation is None else ruleset.operation.get(gap.operation)
    if operation is None:
        return worded("at an earlier sitting")
    return worded("before “{operation}”", operation=operation.title)
