"""A whole handout, from its title to its sources: of a ruleset, of one entry of it, or of one reed."""

from collections.abc import Collection
from typing import Final

from kb.ids import ZoneId
from kb.model import Ruleset
from kb.units import Length
from tui.draw.known import Known
from tui.draw.svg import add
from tui.handout.cited import drawn_on, zones_of
from tui.handout.entries import add_causes, add_harms, add_operations
from tui.handout.guide import add_guide, safety
from tui.handout.history import ReedStory, add_story
from tui.handout.questions import add_finder, add_questions
from tui.handout.reference import (
    add_glossary,
    add_map,
    add_measures,
    add_places,
    add_sources,
    add_tools,
)
from tui.handout.scope import Scope
from tui.handout.sheet import Page, begin_page

JUDGEMENT: Final = "The chances are the author's judgement; your own reed and your own ear decide."

ELSEWHERE: Final = ". On another instrument the places, the measures and the steps are not these."


def handout(scope: Scope, length: Length = Length.MM) -> str:
    """Give the page of a ruleset, or of one entry of it."""
    ruleset = scope.ruleset
    page = _begun(ruleset, f"{scope.subject}: {ruleset.title}" if scope.subject else ruleset.title)
    _head(page, ruleset, scope.subject or ruleset.title, ruleset.title if scope.subject else "")
    if not scope.subject:
        add_finder(page, scope)
    # What is used at the desk comes first; what is looked up stands after it.
    add_guide(page, scope)
    _order(page, ruleset)
    steps = page.flowing()
    add_questions(steps, scope, length)
    add_operations(steps, scope)
    add_harms(steps, scope)
    looked_up = drawn_on(scope) if scope.subject else ruleset
    add_tools(steps, looked_up)
    add_causes(steps, scope)
    add_map(page, scope, None)
    _reference(page, looked_up, zones_of(scope) if scope.subject else None, length)
    return page.written()


def reed_page(scope: Scope, story: ReedStory, known: Known, length: Length = Length.MM) -> str:
    """Give the page of one reed: its history, what is believed of it, and the map coloured by that."""
    ruleset, history = scope.ruleset, story.history
    page = _begun(ruleset, f"{history.name}: {ruleset.title}")
    sittings = f"{history.sittings} sitting{'s' * (history.sittings != 1)}"
    up = f"blade up: {history.blade_up}" if history.blade_up else ""
    told = "; ".join(filter(None, (history.grade or "no grade yet", sittings, up)))
    _head(page, ruleset, history.name, told)
    add_story(page, ruleset, story, length)
    add_map(page, scope, known)
    add_tools(page, ruleset)
    _reference(page, ruleset, None, length)
    return page.written()


def _begun(ruleset: Ruleset, title: str) -> Page:
    return begin_page(title, ruleset.language)


def _head(page: Page, ruleset: Ruleset, title: str, below: str) -> None:
    header = add(page.main, "header")
    page.pen.told(header, "h1", title)
    if below:
        page.pen.told(header, "p", below, class_="lead")
    if ruleset.instrument:
        made_for = add(header, "p")
        page.pen.ours(made_for, "span", "Made for: ")
        page.pen.told(made_for, "strong", ruleset.instrument)
        page.pen.ours(made_for, "span", ELSEWHERE)
    facts = filter(None, (f"{ruleset.id} {ruleset.version}", ruleset.licence))
    page.pen.told(header, "p", ", ".join(facts), class_="quiet")
    caution = add(header, "p", class_="caution")
    page.pen.ours(caution, "strong", "⚠ Caution: ")
    page.pen.ours(caution, "span", safety(ruleset))
    if ruleset.about:
        details = add(header, "details")
        page.pen.ours(details, "summary", "About these rules")
        page.pen.told(add(details, "div", class_="inside"), "p", ruleset.about)


def _order(page: Page, ruleset: Ruleset) -> None:
    if not ruleset.priorities:
        return
    section = page.section("order", "First things first")
    listed = add(section, "ol")
    for priority in ruleset.priorities:
        item = add(listed, "li", dir="auto")
        page.pen.told(item, "strong", priority.title)
        if priority.goal:
            page.pen.told(item, "span", f": {priority.goal}")
    enough = ruleset.sitting
    told = [f"{enough.minutes:g} minutes"] if enough.minutes is not None else []
    told += [f"{enough.cuts} steps that cannot be undone"] if enough.cuts is not None else []
    if told:
        strokes = " A step counts once, however many strokes it takes." if enough.cuts is not None else ""
        page.pen.ours(
            section, "p", f"Enough for one day: {' or '.join(told)}, whichever comes first.{strokes}"
        )


def _reference(page: Page, ruleset: Ruleset, zones: Collection[ZoneId] | None, length: Length) -> None:
    add_places(page, ruleset, zones)
    add_measures(page, ruleset, length)
    lists = page.flowing()
    add_glossary(lists, ruleset)
    add_sources(lists, ruleset)
    page.pen.ours(add(lists.main, "footer"), "p", JUDGEMENT)
