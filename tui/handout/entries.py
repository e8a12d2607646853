"""The questions, causes, remedies and rests of a handout, each a step that opens."""

from collections.abc import Iterable, Iterator, Sequence
from typing import Final
from xml.etree.ElementTree import Element

from kb.graph import EntryKind
from kb.ids import SourceId
from kb.model import By, Cause, Dissent, Effect, Finding, Hazard, QuantityRead, Remedy, Ruleset
from kb.units import Length, shown
from tui.draw.outline import chance_in_words
from tui.draw.reed_svg import draw_zone
from tui.draw.svg import add
from tui.draw.terminal import MARKS
from tui.handout.scope import Scope
from tui.handout.sheet import Link, Page, Pen, say
from tui.words import UNDO, minutes

CHANCES: Final = "The chances are the author's judgement: 0.60 means 6 times out of 10."
BY: Final = {
    By.LOOK: "Look",
    By.FEEL: "Feel",
    By.MEASURE: "Measure",
    By.CROW: "Crow the reed",
    By.PLAY: "Play",
    None: "Other questions",
}


def add_questions(page: Page, scope: Scope, length: Length) -> None:
    """Add the questions in their order: by priority, then by how they are come by."""
    if not scope.findings:
        return
    section = page.section("questions", "The questions, in their order", "steps")
    if scope.causes:
        page.pen.ours(section, "p", CHANCES, class_="quiet")
    asked = {one.id: one for one in scope.findings}
    meant = scope.finding_in_focus
    if meant is not None:
        page.pen.ours(section, "h3", "Is it this?")
        _question(section, meant, scope, page.pen, length)
        asked.pop(meant.id)
    first = [asked[id_] for id_ in scope.ruleset.opening if id_ in asked]
    if first:
        page.pen.ours(section, "h3", "Always first")
        listed = add(section, "ol")
        for one in first:
            say(add(listed, "li", dir="auto"), Link(f"finding-{one.id}", one.ask))
    for title, goal, findings in _groups(scope):
        page.pen.told(section, "h3", title)
        if goal:
            page.pen.told(section, "p", goal, class_="quiet")
        for way, some in _by_way(findings):
            page.pen.ours(section, "p", BY[way], class_="quiet way")
            for finding in some:
                _question(section, finding, scope, page.pen, length)


def _groups(scope: Scope) -> Iterator[tuple[str, str, Sequence[Finding]]]:
    others = [one for one in scope.findings if one.id != scope.focus]
    for priority in scope.ruleset.priorities:
        some = [one for one in others if one.priority == priority.id]
        if some:
            yield priority.title, priority.goal, some
    signs = [one for one in others if one.priority is None]
    if signs:
        yield "On the reed itself", "", signs


def _by_way(findings: Sequence[Finding]) -> Iterator[tuple[By | None, Sequence[Finding]]]:
    for way in dict.fromkeys(one.by for one in findings):
        yield way, [one for one in findings if one.by == way]


def _question(parent: Element, finding: Finding, scope: Scope, pen: Pen, length: Length) -> None:
    kind = EntryKind.SIGN if finding.is_sign else EntryKind.SYMPTOM
    inside = _step(parent, kind, f"finding-{finding.id}", finding.ask, scope, pen)
    if finding.help:
        pen.told(inside, "p", finding.help)
    facts = tuple(_facts(finding, scope.ruleset, length))
    if facts:
        listed = add(inside, "dl", class_="facts")
        for label, said in facts:
            pen.row(listed, label, said)
    behind = scope.shown_by.get(finding.id, ())
    if behind:
        pen.ours(inside, "p", "If so, this may be behind it", class_="quiet")
        causes = add(inside, "ul")
        for cause, show in behind:
            shows = f", {chance_in_words(show.strength, show.word)}"
            say(add(causes, "li", dir="auto"), Link(f"cause-{cause.id}", cause.title), shows)
    _foot(inside, finding.sources, finding.differs, scope, pen)


def _facts(finding: Finding, ruleset: Ruleset, length: Length) -> Iterator[tuple[str, str]]:
    if finding.tie is not None:
        yield "Play", f"{finding.tie.note} {finding.tie.dynamic}".strip()
    if isinstance(finding.read, QuantityRead):
        quantity = ruleset.quantity[finding.read.quantity]
        aim = "" if quantity.target is None else f"; target {_range(quantity.target, quantity.unit, length)}"
        yield "Read it off", f"{quantity.title}{aim}"
    if finding.counts_from_sitting > 1:
        yield "Counts from", f"sitting {finding.counts_from_sitting} on"


def add_causes(page: Page, scope: Scope) -> None:
    """Add the causes in plain words."""
    if not scope.causes:
        return
    section = page.section("causes", "What may be behind it", "steps")
    page.pen.ours(section, "p", CHANCES, class_="quiet")
    for cause in scope.causes:
        _cause(section, cause, scope, page.pen)


def _cause(parent: Element, cause: Cause, scope: Scope, pen: Pen) -> None:
    inside = _step(parent, EntryKind.CAUSE, f"cause-{cause.id}", cause.title, scope, pen)
    body = _beside(inside, scope.ruleset, cause.zone)
    if cause.elsewhere:
        pen.ours(body, "p", "Not in the reed: look to the player, the instrument or what joins them.")
    if cause.why:
        pen.told(body, "p", cause.why)
    shows = sorted(cause.shows, key=lambda show: -show.strength)
    if shows:
        pen.ours(body, "p", "Shows as", class_="quiet")
        listed = add(body, "ul")
        for show in shows:
            title = scope.ruleset.finding[show.finding].title
            words: str | Link = (
                Link(f"finding-{show.finding}", title) if show.finding in scope.shown_by else title
            )
            say(add(listed, "li", dir="auto"), words, f", {chance_in_words(show.strength, show.word)}")
    mends = scope.mended_by.get(cause.id, ())
    pen.ours(body, "p", "What helps" if mends else "Nothing here is said to help.", class_="quiet")
    if mends:
        listed = add(body, "ul")
        for one, effect in mends:
            helps = f", {chance_in_words(effect.chance, effect.word)}"
            say(add(listed, "li", dir="auto"), Link(f"step-{one.id}", one.title), helps)
    _foot(body, cause.sources, cause.differs, scope, pen)


def add_operations(page: Page, scope: Scope) -> None:
    """Add the remedies with their cautions, and the rests."""
    for id_, title, operations in (
        ("remedies", "What helps", scope.remedies),
        ("rests", "Leaving it alone", scope.rests),
    ):
        if operations:
            section = page.section(id_, title, "steps")
            for one in operations:
                _operation(section, one, scope, page.pen)


def _operation(parent: Element, one: Remedy, scope: Scope, pen: Pen) -> None:
    ruleset = scope.ruleset
    tool = None if one.tool is None else ruleset.tool[one.tool]
    kind = EntryKind.REST if one.is_rest else EntryKind.REMEDY
    hazard = tool.hazard if tool is not None else Hazard.NONE
    inside = _step(parent, kind, f"step-{one.id}", one.title, scope, pen, hazard)
    body = _beside(inside, ruleset, one.zone)
    if one.caution:
        caution = add(body, "p", class_="caution", dir="auto")
        pen.ours(caution, "strong", "⚠ Caution: ")
        say(caution, one.caution)
    pen.told(body, "p", one.do, class_="do")
    listed = add(body, "dl", class_="facts")
    for label, said in _rows(one, ruleset):
        pen.row(listed, label, said)
    for label, effects in (("Helps against", one.cures), ("May bring", one.provokes)):
        _effects(listed, label, effects, ruleset, pen)
    for label, findings in (("Look again at", one.recheck), ("Not if", one.unless)):
        if findings:
            pen.row(listed, label, "; ".join(ruleset.finding[finding].title for finding in findings))
    if one.after:
        pen.row(listed, "Only after", "; ".join(ruleset.operation[other].title for other in one.after))
    _foot(body, one.sources, one.differs, scope, pen)


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
        yield "Undo", UNDO[one.undo]
    if one.from_sitting > 1:
        yield "From", f"sitting {one.from_sitting} on"
    if one.why:
        yield "Why", one.why
    if one.too_far:
        yield "Too far when", one.too_far


def _effects(listed: Element, label: str, effects: Sequence[Effect], ruleset: Ruleset, pen: Pen) -> None:
    told = [effect for effect in sorted(effects, key=lambda one: -one.chance) if effect.chance > 0]
    if not told:
        return
    pen.ours(listed, "dt", label)
    element = add(listed, "dd", dir="auto")
    for number, effect in enumerate(told):
        lead = "; " if number else ""
        title = ruleset.cause[effect.cause].title
        say(element, f"{lead}{title}, {chance_in_words(effect.chance, effect.word)}")


def _step(
    parent: Element,
    kind: EntryKind,
    id_: str,
    title: str,
    scope: Scope,
    pen: Pen,
    hazard: Hazard = Hazard.NONE,
) -> Element:
    opened = {"open": "open"} if scope.focus and id_.partition("-")[2] == scope.focus else {}
    details = add(parent, "details", class_=kind.value, **opened)
    summary = add(details, "summary", dir="auto")
    add(summary, "span", MARKS[kind], class_="mark", aria_hidden="true")
    say(summary, f" {title} ")
    if hazard is not Hazard.NONE:
        pen.ours(summary, "span", f"⚠ {hazard.value}", class_="hazard")
    return add(details, "div", class_="inside", id=id_)


def _beside(parent: Element, ruleset: Ruleset, zone: str | None) -> Element:
    """Draw the zone, if there is one, and give the place beside it."""
    meant = next((one for one in ruleset.zones if one.id == zone), None)
    drawing = None if meant is None else draw_zone(ruleset.zones, meant.id, f"Where: {meant.title}")
    if drawing is None:
        return parent
    row = add(parent, "div", class_="beside")
    row.append(drawing)
    return add(row, "div")


def _foot(
    parent: Element, sources: Iterable[SourceId], differs: Sequence[Dissent], scope: Scope, pen: Pen
) -> None:
    known = scope.ruleset.source
    for one in differs:
        line = add(parent, "p", dir="auto")
        pen.ours(line, "span", "Others differ: ", class_="quiet")
        say(line, f"{one.says} (", Link(f"source-{one.source}", known[one.source].title), ")")
    links: list[str | Link] = []
    for source in sources:
        links += ["; " if links else "", Link(f"source-{source}", known[source].title or source)]
    if links:
        line = add(parent, "p", class_="quiet")
        pen.ours(line, "span", "Source: ")
        say(line, *links)


def _range(ends: tuple[float, float], unit: str, length: Length) -> str:
    return f"{shown(ends[0], unit, length)} to {shown(ends[1], unit, length)}"
