"""The questions of a handout: in their order, with what may be behind each and what helps."""

from collections.abc import Callable, Iterator, Sequence
from functools import partial
from typing import Final
from xml.etree.ElementTree import Element

from kb.graph import EntryKind
from kb.model import By, Edge, Finding, QuantityRead, Ruleset, ThicknessRead
from kb.units import Length, shown
from tui.draw.outline import chance_in_words
from tui.draw.svg import add
from tui.handout.guide import COUNTS
from tui.handout.scope import Scope
from tui.handout.sheet import Link, Page, Pen, say
from tui.handout.step import add_foot, add_help, add_step, cause_link, finding_link

MOST_HELPS: Final = 6
"""What helps that stands behind a question; each cause names all that mends it."""
FEW: Final = 3
"""Of what mends a trouble that is seen to first, and of which the page does not tell."""
BY: Final = {
    By.LOOK: "Look",
    By.FEEL: "Feel",
    By.MEASURE: "Measure",
    By.CROW: "Crow the reed",
    By.PLAY: "Play",
    None: "Other questions",
}
ELSEWHERE: Final = "Is it the reed at all?"
LEAVE_IT: Final = (
    "What shows here points at the player or the instrument: see to that, and leave the reed alone."
)
AID: Final = "If so, see to that first (the whole handout of these rules tells how)"
GUARDS: Final = "What is asked before a step"


def add_questions(page: Page, scope: Scope, length: Length) -> None:
    """Add the questions in their order: by priority, then by how they are come by.

    On a page about one entry the quick ones that acquit the reed come first, and last those that the
    page needs only for its steps.
    """
    if not scope.findings:
        return
    section = page.section("questions", "The questions, in their order")
    group = partial(_group, section, page=page, scope=scope, length=length)
    meant = scope.finding_in_focus
    if meant is not None:
        page.pen.ours(section, "h3", "Is it this?")
        _question(section, meant, scope, page.pen, length)
    others = [one for one in scope.findings if one.id != scope.focus]
    guards = [one for one in others if scope.subject and not scope.shown_by[one.id]]
    acquitting = _acquitting(scope)
    if scope.subject:
        group(acquitting, ELSEWHERE, LEAVE_IT, page.pen.ours)
    _always_first(section, page, scope)
    for priority in scope.ruleset.priorities:
        ranked = [one for one in others if one.priority == priority.id and one not in guards]
        group(ranked, priority.title, priority.goal, page.pen.told)
    if not scope.subject:
        group(acquitting, ELSEWHERE, LEAVE_IT, page.pen.ours)
    told = {one.id for one in (*acquitting, *guards)}
    signs = [one for one in others if one.priority is None and one.id not in told]
    group(signs, "On the reed itself", "", page.pen.ours)
    group(guards, GUARDS, "", page.pen.ours)


def add_finder(page: Page, scope: Scope) -> None:
    """Add, for the screen, a quick way to each symptom: folded by priority, in its short words."""
    ranks = [
        (priority, [one for one in scope.findings if one.priority == priority.id])
        for priority in scope.ruleset.priorities
    ]
    if not any(some for _, some in ranks):
        return
    section = add(page.main, "section", class_="onscreen")
    page.pen.ours(section, "h2", "Find what is wrong")
    for priority, some in ranks:
        if some:
            details = add(section, "details")
            page.pen.told(details, "summary", f"{priority.title} ({len(some)})")
            listed = add(add(details, "div", class_="inside"), "ul", class_="helps")
            for one in some:
                link = Link(f"finding-{one.id}", f"{scope.numbers[one.id]} {one.title}")
                say(add(listed, "li", dir="auto"), link)


def _group(  # noqa: PLR0913 - bound once, above
    section: Element,
    findings: Sequence[Finding],
    title: str,
    goal: str,
    write: Callable[[Element, str, str], Element],
    *,
    page: Page,
    scope: Scope,
    length: Length,
) -> None:
    if not findings:
        return
    write(section, "h3", title)
    if goal:
        write(section, "p", goal).set("class", "quiet")
    for way, some in _by_way(findings):
        page.pen.ours(section, "p", BY[way], class_="quiet way")
        for finding in some:
            _question(section, finding, scope, page.pen, length)


def _acquitting(scope: Scope) -> list[Finding]:
    """Give the quick signs that point away from the reed."""
    return [
        one
        for one in scope.findings
        if one.id in scope.elsewhere and one.id != scope.focus and scope.shown_by[one.id]
    ]


def _always_first(section: Element, page: Page, scope: Scope) -> None:
    asked = {one.id: one for one in scope.findings if one.id != scope.focus}
    first = [asked[id_] for id_ in scope.ruleset.opening if id_ in asked]
    if first:
        page.pen.ours(section, "h3", "Always first")
        listed = add(section, "ol", class_="helps")
        for one in first:
            say(add(listed, "li", dir="auto"), finding_link(one, scope))


def _by_way(findings: Sequence[Finding]) -> Iterator[tuple[By | None, Sequence[Finding]]]:
    for way in dict.fromkeys(one.by for one in findings):
        yield way, [one for one in findings if one.by == way]


def _question(parent: Element, finding: Finding, scope: Scope, pen: Pen, length: Length) -> None:
    kind = EntryKind.SIGN if finding.is_sign else EntryKind.SYMPTOM
    inside = add_step(parent, kind, f"finding-{finding.id}", finding.ask, scope, pen)
    if finding.help:
        pen.told(inside, "p", finding.help)
    facts = tuple(_facts(finding, scope.ruleset, length))
    if facts:
        listed = add(inside, "dl", class_="facts")
        for label, said in facts:
            pen.row(listed, label, said)
    acquitting = _acquitting(scope) if finding.id == scope.focus else []
    if acquitting:
        pen.ours(inside, "p", "Before anything is done, ask", class_="quiet")
        first = add(inside, "ul", class_="helps")
        for one in acquitting:
            say(add(first, "li", dir="auto"), finding_link(one, scope))
    behind = scope.shown_by[finding.id]
    if behind:
        pen.ours(inside, "p", "If so, this may be behind it", class_="quiet")
        causes = add(inside, "ul")
        for cause, show in behind:
            shows = f", {chance_in_words(show.strength, show.word)}"
            say(add(causes, "li", dir="auto"), cause_link(cause, scope), shows)
        helps = scope.helping([cause for cause, _ in behind])
        # The other questions of a page about one entry tell its causes apart: what helps stands there.
        if helps and (not scope.subject or finding.id == scope.focus or finding.id in scope.elsewhere):
            pen.ours(inside, "p", "What helps, the mildest first", class_="quiet")
            add_help(inside, helps, scope, pen, len(helps) if finding.id == scope.focus else MOST_HELPS)
    aid = scope.aid.get(finding.id, ())
    if aid:
        pen.ours(inside, "p", AID, class_="quiet")
        add_help(inside, [(one, ()) for one in aid], scope, pen, FEW)
    add_foot(inside, finding.sources, finding.differs, scope, pen)


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
