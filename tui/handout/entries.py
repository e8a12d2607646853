"""The questions, causes, remedies and rests of a handout, each a step that opens."""

from collections.abc import Iterable, Iterator, Sequence
from typing import Final
from xml.etree.ElementTree import Element

from kb.graph import EntryKind
from kb.ids import SourceId
from kb.model import (
    By,
    Cause,
    Dissent,
    Edge,
    Effect,
    Finding,
    Hazard,
    QuantityRead,
    Remedy,
    Ruleset,
    ThicknessRead,
)
from kb.units import Length, shown
from tui.draw.outline import chance_in_words
from tui.draw.reed_svg import draw_zone
from tui.draw.svg import add
from tui.draw.terminal import MARKS
from tui.handout.guide import AGAIN, COUNTS, FIRST, MAY_BRING, NOT_IF, UNDO_LABEL
from tui.handout.scope import Scope
from tui.handout.sheet import Link, Page, Pen, say
from tui.words import UNDO, minutes

MOST_HELPS: Final = 4
"""Numbers of what helps that stand behind a cause; its own entry names them all."""
LEAST_BROUGHT: Final = 0.01
LEAST_BY_WAITING: Final = 0.05
"""Chances from which it is told what a remedy and a rest may bring: days bring a little of everything."""
NO_HELP: Final = "Nothing here mends it: take another reed, and show this one to a teacher."
NO_HELP_ELSEWHERE: Final = "Nothing here mends it: ask a teacher or a repairer."
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
            say(add(listed, "li", dir="auto"), _finding(one, scope))
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
            say(add(causes, "li", dir="auto"), _cause_link(cause, scope), shows, *_helps(cause, scope))
    _foot(inside, finding.sources, finding.differs, scope, pen)


def _helps(cause: Cause, scope: Scope) -> Iterator[str | Link]:
    """Give the numbers of what helps most."""
    mends = scope.mended_by.get(cause.id, ())
    for place, (one, _) in enumerate(mends[:MOST_HELPS]):
        yield ", " if place else "; helps: "
        yield Link(f"step-{one.id}", scope.numbers[one.id])
    if len(mends) > MOST_HELPS:
        yield " …"


def _finding(finding: Finding, scope: Scope) -> Link | str:
    """Lead to a question, by its number and in the words that stand over it; words alone of one left out."""
    number = scope.numbers.get(finding.id)
    return finding.ask if number is None else Link(f"finding-{finding.id}", f"{number} {finding.ask}")


def _cause_link(cause: Cause, scope: Scope) -> Link | str:
    number = scope.numbers.get(cause.id)
    return cause.title if number is None else Link(f"cause-{cause.id}", f"{number} {cause.title}")


def _step_link(one: Remedy, scope: Scope) -> Link | str:
    number = scope.numbers.get(one.id)
    return one.title if number is None else Link(f"step-{one.id}", f"{number} {one.title}")


def _listed(links: Iterable[Link | str]) -> list[Link | str]:
    parts: list[Link | str] = []
    for link in links:
        parts += ["; ", link] if parts else [link]
    return parts


def _facts(finding: Finding, ruleset: Ruleset, length: Length) -> Iterator[tuple[str, str]]:
    if finding.tie is not None:
        yield "Play", f"{finding.tie.note} {finding.tie.dynamic}".strip()
    if isinstance(finding.read, QuantityRead):
        quantity = ruleset.quantity[finding.read.quantity]
        aim = "" if quantity.target is None else f"; target {_range(quantity.target, quantity.unit, length)}"
        yield "Read it off", f"{quantity.title}{aim}; yes {_past(finding.read, quantity.unit, length)}"
    if isinstance(finding.read, ThicknessRead):
        yield "Read it off", _thickness(finding.read, ruleset, length)
    if finding.counts_from_sitting > 1:
        yield COUNTS, f"sitting {finding.counts_from_sitting} on"


def add_causes(page: Page, scope: Scope) -> None:
    """Add the causes in plain words."""
    if not scope.causes:
        return
    section = page.section("causes", "What may be behind it", "steps")
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
            words = _finding(scope.ruleset.finding[show.finding], scope)
            say(add(listed, "li", dir="auto"), words, f", {chance_in_words(show.strength, show.word)}")
    mends = scope.mended_by.get(cause.id, ())
    without = NO_HELP_ELSEWHERE if cause.elsewhere else NO_HELP
    pen.ours(body, "p", "What helps" if mends else without, class_="quiet")
    if mends:
        listed = add(body, "ul")
        for one, effect in mends:
            helps = f", {chance_in_words(effect.chance, effect.word)}"
            say(add(listed, "li", dir="auto"), _step_link(one, scope), helps)
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
    _effects(listed, "Helps against", one.cures, scope, pen)
    least = LEAST_BY_WAITING if one.is_rest else LEAST_BROUGHT
    _effects(listed, MAY_BRING, [effect for effect in one.provokes if effect.chance >= least], scope, pen)
    for label, findings in ((NOT_IF, one.unless), (AGAIN, one.recheck)):
        if findings:
            asked = _listed(_finding(ruleset.finding[finding], scope) for finding in findings)
            pen.row(listed, label, *asked)
    if one.after:
        pen.row(listed, FIRST, *_listed(_step_link(ruleset.operation[other], scope) for other in one.after))
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
        cause = _cause_link(scope.ruleset.cause[effect.cause], scope)
        say(element, lead, cause, f", {chance_in_words(effect.chance, effect.word)}")


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
    number = scope.numbers.get(id_.partition("-")[2], "")
    add(summary, "span", number, class_="number")
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


def _past(read: QuantityRead, unit: str, length: Length) -> str:
    """Say which readings answer yes."""
    low, high = shown(read.low, unit, length), shown(read.high, unit, length)
    if read.edge is Edge.OUTSIDE:
        return f"below {low} or above {high}"
    return f"above {high}" if read.edge is Edge.ABOVE else f"below {low}"


def _thickness(read: ThicknessRead, ruleset: Ruleset, length: Length) -> str:
    """Say where a blade is measured, and what is wanted there."""
    profile = next(one for one in ruleset.thickness if one.id == read.profile)
    low, high = read.between
    wanted = [
        f"{shown(point.target, profile.unit, length)} at {shown(point.at, 'mm', length)}"
        for point in profile.points
        if point.lane == read.lane and low <= point.at <= high
    ]
    there = f"{read.lane}, {_range(read.between, 'mm', length)} from the {profile.datum}"
    where = f"thickness of the blade, {there}"
    return f"{where}; wanted: {', '.join(wanted)}" if wanted else where


def _range(ends: tuple[float, float], unit: str, length: Length) -> str:
    return f"{shown(ends[0], unit, length)} to {shown(ends[1], unit, length)}"
