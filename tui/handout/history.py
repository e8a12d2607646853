"""One reed's history: what was found, done and measured, sitting by sitting, and what is believed now."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final
from xml.etree.ElementTree import Element

from engine.belief import Belief
from engine.blades import blades
from kb.ids import CauseId
from kb.log.entry import Entry, Measured, RemedyDone, Rested, SittingOpened
from kb.log.replay import ReedHistory
from kb.model import Remedy, Ruleset
from kb.units import Length, shown
from tui.box import moment
from tui.draw.opening_svg import draw_opening
from tui.draw.readings_svg import Taken, draw_readings
from tui.draw.reed_svg import draw_zone
from tui.draw.svg import add
from tui.draw.thickness_svg import draw_thickness
from tui.handout.reference import OPENING, add_figure, tip_width
from tui.handout.sheet import Page, say
from tui.plain.said import entry_in_words, unlisted
from tui.words import chance_word, per_cent

LIKELY: Final = 0.10
"""Chance from which a cause is told …"""
MOST: Final = 8
"""… and how many at most: a long tail of guesses helps nobody."""


@dataclass(frozen=True, slots=True)
class ReedStory:
    """A reed with all that its page tells."""

    history: ReedHistory
    entries: tuple[Entry, ...]
    """Those that count, oldest first."""
    belief: Belief


def likely(belief: Belief) -> tuple[CauseId, ...]:
    """Give the causes that are likely enough to be told, the likeliest first."""
    return tuple(cause for cause, chance in belief.causes if chance >= LIKELY)[:MOST]


def add_story(page: Page, ruleset: Ruleset, story: ReedStory, length: Length) -> None:
    """Add the sittings, the readings and what is believed now."""
    _add_sittings(page, ruleset, story.entries, length)
    _add_readings(page, ruleset, story.entries, length)
    _add_belief(page, ruleset, story.belief)


def _add_sittings(page: Page, ruleset: Ruleset, entries: Sequence[Entry], length: Length) -> None:
    section = page.section("history", "Its history")
    listed: Element | None = None
    for entry in entries:
        words = entry_in_words(entry.what, ruleset, length)
        if not words:
            continue
        if isinstance(entry.what, SittingOpened):
            _close(page, listed)
            page.pen.told(section, "h3", f"{words}, {_day(entry)}")
            listed = add(section, "ul")
            continue
        if listed is None:
            listed = add(section, "ul")
        item = add(listed, "li", dir="auto")
        operation = _operation(entry, ruleset)
        drawing = None if operation is None else draw_zone(ruleset.zones, operation.zone, f"Where: {words}")
        if operation is None or operation.zone is None or drawing is None:
            say(item, words)
            continue
        row = add(item, "div", class_="beside")
        row.append(drawing)
        beside = add(row, "div")
        page.pen.told(beside, "p", words)
        page.pen.told(beside, "p", ruleset.zone[operation.zone].title, class_="quiet")
    _close(page, listed)
    if listed is None:
        page.pen.ours(section, "p", "Nothing is in the log yet.")


def _close(page: Page, listed: Element | None) -> None:
    """Say of a sitting that nothing stands under it: a heading alone looks like a fault."""
    if listed is not None and not len(listed):
        page.pen.ours(listed, "li", "Nothing was noted.")


def _operation(entry: Entry, ruleset: Ruleset) -> Remedy | None:
    match entry.what:
        case RemedyDone(remedy):
            return ruleset.operation.get(remedy)
        case Rested(rest) if rest is not None:
            return ruleset.operation.get(rest)
        case _:
            return None


def _add_readings(page: Page, ruleset: Ruleset, entries: Sequence[Entry], length: Length) -> None:
    taken: dict[str, list[Taken]] = {}
    for entry in entries:
        if isinstance(entry.what, Measured) and entry.what.quantity in ruleset.quantity:
            taken.setdefault(entry.what.quantity, []).append(Taken(_short_day(entry), entry.what.value))
    measured = [(profile, seen) for profile in ruleset.thickness if (seen := blades(profile, entries))]
    if not taken and not measured:
        return
    section = page.section("readings", "What was measured")
    for quantity in ruleset.quantities:
        readings = taken.get(quantity.id, [])
        if len(readings) == 1 and quantity.target is None:
            # One point without a target is no drawing.
            reading = shown(readings[0].value, quantity.unit, length)
            page.pen.told(section, "p", f"{quantity.title}: {reading} ({readings[0].when})")
            continue
        for drawing in _drawings(ruleset, quantity.id, readings, length):
            add_figure(page, section, (drawing,), quantity.title)
    for profile, seen in measured:
        add_figure(page, section, draw_thickness(profile, ruleset.zones, seen, length), profile.title)


def _drawings(ruleset: Ruleset, id_: str, taken: Sequence[Taken], length: Length) -> Iterator[Element]:
    quantity = next(one for one in ruleset.quantities if one.id == id_)
    drawing = draw_readings(quantity, taken, length)
    if drawing is None:
        return
    yield drawing
    opening = None
    if id_ == OPENING:
        opening = draw_opening(quantity, taken[-1].value, tip_width(ruleset), length)
    if opening is not None:
        yield opening


def _add_belief(page: Page, ruleset: Ruleset, belief: Belief) -> None:
    section = page.section("belief", "What may be behind it now")
    told = likely(belief)
    if not belief.is_possible:
        page.pen.ours(section, "p", "By these rules, the answers cannot all be true of one reed.")
        return
    if not told:
        page.pen.ours(section, "p", "No listed cause stands out.")
        return
    listed = add(section, "ul")
    for cause in told:
        chance = belief.chance(cause)
        page.pen.told(
            listed, "li", f"{ruleset.cause[cause].title}: {chance_word(chance)}, {per_cent(chance)}"
        )
    page.pen.ours(section, "p", unlisted(belief), class_="quiet")


def _day(entry: Entry) -> str:
    return f"{moment(entry.at):%Y-%m-%d}"


def _short_day(entry: Entry) -> str:
    return f"{moment(entry.at):%m-%d}"
