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
    Weather,
    What,
)
from kb.model import Quantity, Ruleset
from kb.units import Length, number_shown, shown, typed
from tui.plain.cards import example, title
from tui.words import UNLISTED_IS_LARGE, chance_word, per_cent


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
        case SittingOpened(number, temperature, humidity):
            weather = _weather(temperature, humidity)
            return f"Sitting {number}{f', {weather}' if weather else ''}"
        case Weather(temperature, humidity):
            return f"Weather: {_weather(temperature, humidity)}"
        case Remarked(text):
            return f"Remark: {text}"
        case Graded(grade, reason):
            return f"Grade: {grade}{f' ({reason})' if reason else ''}"
        case BladeUp(blade):
            return f"Blade up: {blade}"
        case _:
            return ""


def _weather(temperature: float | None, humidity: float | None) -> str:
    parts = [] if temperature is None else [f"{temperature:g} °C"]
    return ", ".join(parts if humidity is None else [*parts, f"{humidity:g} % humidity"])


def operation_title(ruleset: Ruleset, operation: str) -> str:
    """Give a remedy's or rest's title, or its id where this ruleset does not have it."""
    return next((one.title for one in ruleset.operations if one.id == operation), operation)


def unlisted(belief: Belief) -> str:
    """Say how likely it is that something outside the ruleset is behind what shows."""
    chance = f"{chance_word(belief.unlisted)} ({per_cent(belief.unlisted)})"
    told = f"A reason that these rules do not list: {chance}."
    if belief.unlisted < UNLISTED_IS_LARGE:
        return told
    return f"{told} Look elsewhere as well (player, instrument, bocal), or ask someone."


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
