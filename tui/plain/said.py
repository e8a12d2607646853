"""Entries and beliefs in sentences: what was said so far, what is likely, and why."""

from collections.abc import Iterator

from engine.belief import Belief
from kb.log.entry import (
    Answered,
    BladeUp,
    Graded,
    Measured,
    Overviewed,
    Remarked,
    RemedyDone,
    Rested,
    SittingOpened,
    What,
)
from kb.model import Quantity, Ruleset
from kb.units import Length, number_shown, shown, typed
from tui.plain.cards import example, title
from tui.words import UNLISTED_IS_LARGE, chance_word, per_cent

_LEAST_NAMED = 0.05
"""Chance below which a cause is not named among the leading ones."""


def entry_in_words(what: What, ruleset: Ruleset, length: Length) -> str:  # noqa: C901, PLR0911 - one for each kind
    """Say in a line what was entered; nothing for what is not said at the desk."""
    match what:
        case Answered(finding, answer):
            return f"{title(ruleset, finding)}: {answer.value}"
        case Overviewed(priority, fine):
            known = ruleset.priority.get(priority)
            name = known.title if known is not None else priority
            return f"{name}: {'all fine' if fine else 'something is wrong'}"
        case Measured(quantity, value):
            measured = ruleset.quantity.get(quantity)
            if measured is None:
                return f"{quantity}: {value:g}"
            return f"{measured.title}: {shown(value, measured.unit, length)}"
        case RemedyDone(remedy):
            return f"Done: {operation_title(ruleset, remedy)}"
        case Rested(rest):
            return f"Rested: {operation_title(ruleset, rest) if rest is not None else 'nothing was done'}"
        case SittingOpened(number):
            return f"Sitting {number}"
        case Remarked(text):
            return f"Remark: {text}"
        case Graded(grade, reason):
            return f"Grade: {grade}{f' ({reason})' if reason else ''}"
        case BladeUp(blade):
            return f"Blade up: {blade}"
        case _:
            return ""


def operation_title(ruleset: Ruleset, operation: str) -> str:
    """Give a remedy's or rest's title, or its id where this ruleset does not have it."""
    return next((one.title for one in ruleset.operations if one.id == operation), operation)


def leading(belief: Belief, ruleset: Ruleset, how_many: int = 3) -> str:
    """Name the leading causes with their chances, in words and figures; nothing when none leads."""
    named = [
        f"{ruleset.cause[cause].title}: {chance_word(chance)} ({per_cent(chance)})"
        for cause, chance in belief.causes[:how_many]
        if chance >= _LEAST_NAMED
    ]
    return f"Behind it, most likely first: {'; '.join(named)}." if named else ""


def unlisted(belief: Belief) -> str:
    """Say when something outside the ruleset may be behind it; nothing when that is unlikely."""
    if belief.unlisted <= UNLISTED_IS_LARGE:
        return ""
    return (
        f"With a chance of {per_cent(belief.unlisted)} there is a reason behind this that these rules do not "
        "list: look elsewhere as well (player, instrument, bocal), or ask someone."
    )


def reading(text: str, quantity: Quantity, length: Length) -> float | str:
    """Give a typed reading in the quantity's own unit, or a sentence about what is wrong with it."""
    value = typed(text, quantity.unit, length)
    if value is None:
        return f"A number is wanted here, such as {example(quantity, length)}."
    if quantity.limits is not None and not quantity.limits[0] <= value <= quantity.limits[1]:
        low, high = quantity.limits
        return (
            f"{shown(value, quantity.unit, length)} cannot be meant: {quantity.title} lies between "
            f"{number_shown(low, quantity.unit, length)} and {shown(high, quantity.unit, length)}."
        )
    return value


def counting(ruleset: Ruleset, sitting: int) -> Iterator[str]:
    """Say what begins to count at this sitting, and what does not count yet."""
    later: dict[int, list[str]] = {}
    for finding in ruleset.findings:
        if finding.counts_from_sitting > 1:
            later.setdefault(finding.counts_from_sitting, []).append(finding.title)
    for number in sorted(later):
        titles = "; ".join(later[number])
        if number == sitting:
            yield f"Counts from this sitting on: {titles}"
        elif number > sitting:
            yield f"Does not count before sitting {number}: {titles}"
