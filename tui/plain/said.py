"""Entries and beliefs in sentences: what was said so far, what is likely, and why."""

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Final

from engine.belief import Belief
from kb.ids import RulesetId
from kb.log.entry import (
    Answered,
    BladeUp,
    Blank,
    Graded,
    Measured,
    Overviewed,
    Pictured,
    Played,
    Remarked,
    RemedyDone,
    Rested,
    SittingOpened,
    Strokes,
    ThicknessMeasured,
    Weather,
    What,
)
from kb.model import Quantity, Ruleset
from kb.units import Length, number_shown, shown, typed
from tui.box import blank_in_words
from tui.language import worded, worded_count, worded_later
from tui.plain.cards import example, title
from tui.words import UNLISTED_IS_LARGE, chance_word, per_cent

DATUM: Final[Mapping[str, str]] = MappingProxyType({"first-wire": worded_later("first wire")})
"""Datums whose name is not the word for them."""

_NO_RULES: Final = Ruleset(RulesetId("none"), "", "")
"""For a reed that was not judged by any yet: everything is then said by its id."""


def entry_in_words(what: What, ruleset: Ruleset | None, length: Length) -> str:  # noqa: PLR0911 - one for each kind
    """Say in a line what was entered; nothing for what is not said at the desk."""
    ruleset = ruleset or _NO_RULES
    match what:
        case Answered(finding, answer):
            return f"{title(ruleset, finding)}: {worded(answer.value)}"
        case Overviewed(priority, fine):
            known = ruleset.priority.get(priority)
            name = known.title if known is not None else priority
            return f"{name}: {worded('all fine' if fine else 'something is wrong')}"
        case Measured():
            return _measured(what, ruleset, length)
        case ThicknessMeasured(datum, spots):
            return worded_count(
                "Thickness measured at {count} place, from the {datum}",
                "Thickness measured at {count} places, from the {datum}",
                len(spots),
                datum=worded(DATUM[datum]) if datum in DATUM else datum,
            )
        case Strokes(number, zone):
            count = "" if number is None else worded_count("{count} stroke", "{count} strokes", number)
            told = ", ".join(part for part in (count, zone_title(ruleset, zone)) if part)
            return worded("That was {told}", told=told)
        case RemedyDone(remedy):
            return worded("Done: {remedy}", remedy=operation_title(ruleset, remedy))
        case Rested(rest):
            return worded(
                "Rested: {rest}",
                rest=operation_title(ruleset, rest) if rest is not None else worded("nothing was done"),
            )
        case SittingOpened(number, temperature, humidity):
            weather = _weather(temperature, humidity)
            return f"{worded('Sitting {number}', number=number)}{f', {weather}' if weather else ''}"
        case _:
            return _kept_in_words(what)


def _kept_in_words(what: What) -> str:  # noqa: PLR0911 - one for each kind
    """Say what concerns the reed as a thing, and no rules."""
    match what:
        case Weather(temperature, humidity):
            return worded("Weather: {weather}", weather=_weather(temperature, humidity))
        case Played(hours):
            return worded("Played: {hours} h", hours=f"{hours:g}")
        case Pictured(path, remark):
            return f"{worded('Photo: {path}', path=path)}{f' ({remark})' if remark else ''}"
        case Blank():
            return worded(
                "Blank: {blank}",
                blank="; ".join(blank_in_words(what)) or worded("nothing is said of it any more"),
            )
        case Remarked(text):
            return worded("Remark: {text}", text=text)
        case Graded(grade, reason):
            return f"{worded('Grade: {grade}', grade=grade)}{f' ({reason})' if reason else ''}"
        case BladeUp(blade):
            return worded("Blade up: {blade}", blade=blade)
        case _:
            return ""


def _measured(what: Measured, ruleset: Ruleset, length: Length) -> str:
    measured = ruleset.quantity.get(what.quantity)
    title, unit = (what.quantity, "") if measured is None else (measured.title, measured.unit)
    told = f"{title}: {shown(what.value, unit, length)}"
    if len(what.values) > 1:
        values = ", ".join(number_shown(one, unit, length) for one in what.values)
        told += f" ({worded('mean of {values}', values=values)})"
    if what.precision is not None:
        told += f", ± {shown(what.precision, unit, length)}"
    return told


def zone_title(ruleset: Ruleset, zone: str) -> str:
    """Give a zone's title where the ruleset has it, else the maker's own word."""
    return next((one.title for one in ruleset.zones if one.id == zone), zone)


def _weather(temperature: float | None, humidity: float | None) -> str:
    parts = [] if temperature is None else [f"{temperature:g} °C"]
    return ", ".join(
        parts if humidity is None else [*parts, worded("{humidity} % humidity", humidity=f"{humidity:g}")]
    )


def operation_title(ruleset: Ruleset, operation: str) -> str:
    """Give a remedy's or rest's title, or its id where this ruleset does not have it."""
    return next((one.title for one in ruleset.operations if one.id == operation), operation)


def unlisted(belief: Belief) -> str:
    """Say how likely it is that something outside the ruleset is behind what shows."""
    chance = f"{chance_word(belief.unlisted)} ({per_cent(belief.unlisted)})"
    told = worded("A reason that these rules do not list: {chance}.", chance=chance)
    if belief.unlisted < UNLISTED_IS_LARGE:
        return told
    return f"{told} {worded('Look elsewhere as well (the player, the instrument), or ask someone.')}"


def reading(text: str, quantity: Quantity, length: Length) -> float | str:
    """Give a typed reading in the quantity's own unit, or a sentence about what is wrong with it."""
    value = typed(text, quantity.unit, length)
    if value is None:
        return worded("A number is wanted here, such as {example}.", example=example(quantity, length))
    if quantity.limits is not None and not quantity.limits[0] <= value <= quantity.limits[1]:
        low, high = quantity.limits
        return worded(
            "{said} cannot be meant: {title} lies between {low} and {high}.",
            said=shown(value, quantity.unit, length),
            title=quantity.title,
            low=number_shown(low, quantity.unit, length),
            high=shown(high, quantity.unit, length),
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
            yield worded("Judged from this sitting on: {titles}", titles=titles)
        elif number > sitting:
            yield worded("Too early to judge before sitting {number}: {titles}", number=number, titles=titles)
