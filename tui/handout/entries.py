"""The causes, remedies and rests of a handout, each a step that opens."""

from collections.abc import Iterator, Sequence
from typing import Final
from xml.etree.ElementTree import Element

from kb.graph import EntryKind
from kb.model import Cause, Effect, Remedy, Ruleset
from tui.draw.harms import LEAST_HARM
from tui.draw.outline import chance_in_words
from tui.draw.svg import add
from tui.handout.guide import AGAIN, FIRST, MAY_BRING, NOT_IF, UNDO_LABEL
from tui.handout.scope import Scope
from tui.handout.sheet import Link, Page, Pen, say
from tui.handout.step import (
    add_foot,
    add_step,
    add_warnings,
    beside,
    cause_link,
    finding_link,
    listed,
    step_link,
)
from tui.words import UNDO, minutes

LEAST_BROUGHT: Final = 0.01
LEAST_BY_WAITING: Final = 0.05
"""Chances from which it is told what a remedy and a rest may bring: days bring a little of everything."""
NO_HELP: Final = "Nothing here mends it: take another reed, and show this one to a teacher."
NO_HELP_ELSEWHERE: Final = "Nothing here mends it: ask a teacher or a repairer."
NOT_FOR_THIS: Final = "Not for this: it may make it worse"


def add_causes(page: Page, scope: Scope) -> None:
    """Add the causes in plain words."""
    if not scope.causes:
        return
    section = page.section("causes", "What may be behind it")
    for cause in scope.causes:
        _cause(section, cause, scope, page.pen)


def _cause(parent: Element, cause: Cause, scope: Scope, pen: Pen) -> None:
    inside = add_step(parent, EntryKind.CAUSE, f"cause-{cause.id}", cause.title, scope, pen)
    body = beside(inside, scope.ruleset, cause.zone)
    if cause.elsewhere:
        pen.ours(body, "p", "Not in the reed: look to the player, the instrument or what joins them.")
    if cause.why:
        pen.told(body, "p", cause.why)
    shows = sorted(cause.shows, key=lambda show: -show.strength)
    if shows:
        pen.ours(inside, "p", "Shows as", class_="quiet")
        told = add(inside, "ul")
        for show in shows:
            words = finding_link(scope.ruleset.finding[show.finding], scope)
            say(add(told, "li", dir="auto"), words, f", {chance_in_words(show.strength, show.word)}")
    mends = scope.mended_by.get(cause.id, ())
    without = NO_HELP_ELSEWHERE if cause.elsewhere else NO_HELP
    pen.ours(inside, "p", "What helps" if mends else without, class_="quiet")
    if mends:
        steps = add(inside, "ul")
        for one, effect in mends:
            item = add(steps, "li", dir="auto")
            say(item, step_link(one, scope), f", {chance_in_words(effect.chance, effect.word)}")
            add_warnings(item, one, scope.ruleset, pen)
    add_foot(inside, cause.sources, cause.differs, scope, pen)


def add_operations(page: Page, scope: Scope) -> None:
    """Add the remedies with their cautions, and the rests."""
    for id_, title, operations in (
        ("remedies", "What helps", scope.remedies),
        ("rests", "Leaving it alone", scope.rests),
    ):
        if operations:
            section = page.section(id_, title)
            for one in operations:
                _operation(section, one, scope, page.pen)


def add_harms(page: Page, scope: Scope) -> None:
    """Name what mends nothing here and may bring the trouble: apart, and without how it is done."""
    if not scope.harming:
        return
    section = page.section("harms", NOT_FOR_THIS)
    told = add(section, "ul")
    causes = {cause.id for cause in scope.causes}
    for one in scope.harming:
        item = add(told, "li", class_="harm", dir="auto", id=f"step-{one.id}")
        page.pen.told(item, "strong", f"{scope.numbers[one.id]} {one.title}")
        add_warnings(item, one, scope.ruleset, page.pen)
        brought = [
            effect for effect in one.provokes if effect.cause in causes and effect.chance >= LEAST_HARM
        ]
        _effects(add(item, "dl", class_="facts"), MAY_BRING, brought, scope, page.pen)


def _operation(parent: Element, one: Remedy, scope: Scope, pen: Pen) -> None:
    ruleset = scope.ruleset
    kind = EntryKind.REST if one.is_rest else EntryKind.REMEDY
    inside = add_step(parent, kind, f"step-{one.id}", one.title, scope, pen, one)
    body = beside(inside, ruleset, one.zone)
    if one.caution:
        caution = add(body, "p", class_="caution", dir="auto")
        pen.ours(caution, "strong", "⚠ Caution: ")
        say(caution, one.caution)
    pen.told(body, "p", one.do, class_="do")
    facts = add(inside, "dl", class_="facts")
    for label, said in _rows(one, ruleset):
        pen.row(facts, label, said)
    _effects(facts, "Helps against", one.cures, scope, pen)
    least = LEAST_BY_WAITING if one.is_rest else LEAST_BROUGHT
    _effects(facts, MAY_BRING, [effect for effect in one.provokes if effect.chance >= least], scope, pen)
    for label, findings in ((NOT_IF, one.unless), (AGAIN, one.recheck)):
        if findings:
            asked = listed(finding_link(ruleset.finding[finding], scope) for finding in findings)
            pen.row(facts, label, *asked)
    if one.after:
        pen.row(facts, FIRST, *_before(one, scope))
    add_foot(inside, one.sources, one.differs, scope, pen)


def _before(one: Remedy, scope: Scope) -> Iterator[str | Link]:
    """Name what comes first, each behind the trouble that calls for it: it must not read as an order."""
    for place, id_ in enumerate(one.after):
        other = scope.ruleset.operation[id_]
        surest = max(other.cures, key=lambda effect: effect.chance, default=None)
        lead = "; " if place else ""
        if surest is not None:
            yield f"{lead}where {scope.numbers[surest.cause]} {scope.ruleset.cause[surest.cause].title}: "
            lead = ""
        yield lead
        yield step_link(other, scope)


def _rows(one: Remedy, ruleset: Ruleset) -> Iterator[tuple[str, str]]:
    if one.zone is not None:
        yield "Where", ruleset.zone[one.zone].title
    if one.tool is not None:
        yield "With", ruleset.tool[one.tool].title
    if one.hours:
        yield "How long", f"{one.hours:g} hours"
    elif not one.is_rest:
        yield "How long", minutes(one.minutes)
    if not one.is_rest:
        yield UNDO_LABEL, UNDO[one.undo]
    if one.from_sitting > 1:
        yield "From", f"sitting {one.from_sitting} on"
    if one.why:
        yield "Why", one.why
    if one.too_far:
        yield "Too far when", one.too_far


def _effects(listed: Element, label: str, effects: Sequence[Effect], scope: Scope, pen: Pen) -> None:
    told = [effect for effect in sorted(effects, key=lambda one: -one.chance) if effect.chance > 0]
    if not told:
        return
    pen.ours(listed, "dt", label)
    element = add(listed, "dd", dir="auto")
    for number, effect in enumerate(told):
        lead = "; " if number else ""
        cause = cause_link(scope.ruleset.cause[effect.cause], scope)
        say(element, lead, cause, f", {chance_in_words(effect.chance, effect.word)}")
