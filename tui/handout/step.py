"""An entry of a handout as a step that opens, and how others lead to it."""

from collections.abc import Collection, Iterable, Sequence
from typing import Final
from xml.etree.ElementTree import Element

from kb.graph import EntryKind
from kb.ids import SourceId
from kb.model import Cause, Dissent, Finding, Hazard, Remedy, Ruleset, Undo
from tui.draw.reed_svg import draw_zone
from tui.draw.svg import add
from tui.draw.terminal import MARKS
from tui.handout.scope import Scope
from tui.handout.sheet import Link, Pen, say
from tui.words import UNDO

MORE: Final = "More stands with each of these."


def finding_link(finding: Finding, scope: Scope) -> Link | str:
    """Lead to a question, by its number and in the words that stand over it; else name it shortly."""
    number = scope.numbers[finding.id]
    if finding.id in scope.here:
        return Link(f"finding-{finding.id}", f"{number} {finding.ask}")
    return f"{number} {finding.title}"


def cause_link(cause: Cause, scope: Scope) -> Link | str:
    """Lead to a cause, where it is on the page."""
    words = f"{scope.numbers[cause.id]} {cause.title}"
    return Link(f"cause-{cause.id}", words) if cause.id in scope.here else words


def step_link(one: Remedy, scope: Scope) -> Link | str:
    """Lead to an operation, where it is on the page."""
    words = f"{scope.numbers[one.id]} {one.title}"
    return Link(f"step-{one.id}", words) if one.id in scope.here else words


def listed(links: Iterable[Link | str], between: str = "; ") -> list[Link | str]:
    """Put names into one line."""
    parts: list[Link | str] = []
    for link in links:
        parts += [between, link] if parts else [link]
    return parts


def hazard_of(one: Remedy, ruleset: Ruleset) -> Hazard:
    """Give what about an operation can hurt."""
    return Hazard.NONE if one.tool is None else ruleset.tool[one.tool].hazard


def add_warnings(parent: Element, one: Remedy, ruleset: Ruleset, pen: Pen) -> None:
    """Say beside an operation's name what can hurt, and that it cannot be undone."""
    hazard = hazard_of(one, ruleset)
    told = [] if hazard is Hazard.NONE else [f"⚠ {hazard.value}"]
    told += [UNDO[one.undo]] if one.undo is Undo.NEVER else []
    if told:
        say(parent, " ")
        pen.ours(parent, "span", ", ".join(told), class_="hazard")


def add_help(
    parent: Element, mends: Sequence[tuple[Remedy, Collection[Cause]]], scope: Scope, pen: Pen, most: int
) -> None:
    """List what helps, the mildest first, each with what it is against and what is to be minded."""
    steps = add(parent, "ol", class_="helps")
    for one, causes in mends[:most]:
        item = add(steps, "li", dir="auto")
        against = ", ".join(scope.numbers[cause.id] for cause in causes)
        say(item, step_link(one, scope), f" ({against})" if against else "")
        add_warnings(item, one, scope.ruleset, pen)
    if len(mends) > most:
        pen.ours(parent, "p", MORE, class_="quiet")


def add_step(
    parent: Element,
    kind: EntryKind,
    id_: str,
    title: str,
    scope: Scope,
    pen: Pen,
    operation: Remedy | None = None,
) -> Element:
    """Add an entry that opens, and give what its words go into."""
    opened = {"open": "open"} if scope.focus and id_.partition("-")[2] == scope.focus else {}
    details = add(parent, "details", class_=kind.value, **opened)
    summary = add(details, "summary", dir="auto")
    add(summary, "span", MARKS[kind], class_="mark", aria_hidden="true")
    number = scope.numbers.get(id_.partition("-")[2], "")
    add(summary, "span", number, class_="number")
    say(summary, f" {title}")
    if operation is not None:
        add_warnings(summary, operation, scope.ruleset, pen)
    return add(details, "div", class_="inside", id=id_)


def beside(parent: Element, ruleset: Ruleset, zone: str | None) -> Element:
    """Draw the zone, if there is one, and give the place beside it."""
    meant = next((one for one in ruleset.zones if one.id == zone), None)
    drawing = None if meant is None else draw_zone(ruleset.zones, meant.id, f"Where: {meant.title}")
    if drawing is None:
        return parent
    row = add(parent, "div", class_="beside")
    row.append(drawing)
    return add(row, "div")


def add_foot(
    parent: Element, sources: Iterable[SourceId], differs: Sequence[Dissent], scope: Scope, pen: Pen
) -> None:
    """Say at the end of an entry who sees it otherwise, and where it comes from."""
    known = scope.ruleset.source
    for one in differs:
        line = add(parent, "p", dir="auto")
        pen.ours(line, "span", "Others differ: ", class_="quiet")
        say(line, f"{one.says} (", Link(f"source-{one.source}", known[one.source].title), ")")
    links = listed(Link(f"source-{source}", known[source].title or source) for source in sources)
    if links:
        line = add(parent, "p", class_="quiet")
        pen.ours(line, "span", "Source: ")
        say(line, *links)
