"""How to read a handout: its signs, its labels, what a chance means, and what to mind with sharp things.

Apart from the entries, since a reader who has never made a reed begins here, and knows nothing yet.
"""

from collections.abc import Iterator
from typing import Final
from xml.etree.ElementTree import Element

from kb.graph import EntryKind
from kb.model import Hazard, Ruleset
from tui.draw.svg import add
from tui.draw.terminal import MARKS
from tui.handout.scope import Scope
from tui.handout.sheet import Page, Pen

FIRST: Final = "Comes first, if it is needed"
AGAIN: Final = "Then ask again"
NOT_IF: Final = "Not if"
MAY_BRING: Final = "May bring"
UNDO_LABEL: Final = "Undo"
COUNTS: Final = "Counts from"
STEPS: Final = (
    "Go through the questions in their order. Leave out what you cannot look at or measure.",
    "Where something shows, look below it: what may be behind it, and what helps, the mildest first.",
    "Do one thing at a time, what can be undone before what cannot. Then ask again.",
    "Stop when it is enough for one day. A reed that nothing mends is shown to a teacher, not scraped on.",
)
KINDS: Final = {
    EntryKind.SYMPTOM: "Q, a question about how the reed plays",
    EntryKind.SIGN: "Q, a question about what is seen, felt or measured on the reed itself",
    EntryKind.CAUSE: "C, something that may be behind it",
    EntryKind.REMEDY: "R, something to do",
    EntryKind.REST: "R, leaving the reed alone",
}
LABELS: Final = (
    (COUNTS, "Before that sitting a young reed may still show it: note it, and go on."),
    (NOT_IF, "Leave it while that shows."),
    (
        FIRST,
        "Only where that trouble is there too: then mend it before. Where it is not there, go on without.",
    ),
    (AGAIN, "What it may have changed. Ask it before you do anything else."),
    (MAY_BRING, "What it may make worse, and how often."),
    (UNDO_LABEL, "How far it can be taken back. What cannot be undone comes last."),
)
CHANCES: Final = (
    "Words and figures of chance are the author's judgement, and count reeds with that trouble: usually 0.80 "
    "behind a question means that 8 such reeds out of 10 show it, not that the trouble is 8 in 10 likely; "
    "behind a step, that it helps 8 of them."
)
ELSEWHERE: Final = (
    "Numbers are the same on every page that is made of these rules. What stands here without a link is told "
    "in the handout of the whole."
)
SHARED: Final = (
    "A reed that is shared passes on what a mouth carries. The rules of your school or workshop come first, "
    "and where health is concerned a doctor's advice. Under age: sharp tools only with a grown-up beside "
    "you who knows them. A cut: press on it and get help. Something in the eye: do not rub, get help at once."
)
_CUTTING: Final = {
    Hazard.BLADE: ("blades",),
    Hazard.FILE: ("files",),
    Hazard.REAMER: ("reamers",),
    Hazard.MANDREL: ("mandrels",),
    Hazard.PLIERS: ("pliers", "wire ends"),
}


def safety(ruleset: Ruleset) -> str:
    """Give the caution that stands at the top: of the tools that these rules use, and of no others.

    Common practice, no source; it defers to local rules and to qualified advice.
    """
    used = {tool.hazard for tool in ruleset.tools}
    cutting = [word for hazard, words in _CUTTING.items() if hazard in used for word in words]
    said = [f"{_and(cutting).capitalize()} cut and slip."] if cutting else []
    dusty = used & {Hazard.BLADE, Hazard.FILE, Hazard.ABRASIVE, Hazard.REAMER}
    inhaled = [*(["cane dust"] if dusty else []), *(["sealant"] if Hazard.SEALANT in used else [])]
    if inhaled:
        said.append(f"Lungs and mouth are no place for {_and(inhaled)}.")
    return " ".join([*said, SHARED])


def _and(words: list[str]) -> str:
    *others, last = words
    return f"{', '.join(others)} and {last}" if others else last


def add_guide(page: Page, scope: Scope) -> None:
    """Add how the page is used, its signs and its labels: folded on a screen, open on paper."""
    pen = page.pen
    section = page.section("how", "How to use this page")
    listed = add(section, "ol")
    for step in STEPS:
        pen.ours(listed, "li", step)
    details = add(section, "details")
    pen.ours(details, "summary", "What the signs and labels mean")
    _labels(add(details, "div", class_="inside"), pen, scope)


def _labels(inside: Element, pen: Pen, scope: Scope) -> None:
    listed = add(inside, "dl", class_="facts")
    for kind in _kinds(scope):
        pen.row(listed, MARKS[kind], KINDS[kind])
    used = set(_used(scope))
    for label, meaning in LABELS:
        if label in used:
            pen.row(listed, label, meaning)
    if scope.subject:
        pen.ours(inside, "p", ELSEWHERE)
    if scope.causes:
        pen.ours(inside, "p", CHANCES)


def _kinds(scope: Scope) -> Iterator[EntryKind]:
    """Give the kinds whose signs are on the page."""
    if any(not one.is_sign for one in scope.findings):
        yield EntryKind.SYMPTOM
    if any(one.is_sign for one in scope.findings):
        yield EntryKind.SIGN
    there = (
        (EntryKind.CAUSE, scope.causes),
        (EntryKind.REMEDY, scope.remedies),
        (EntryKind.REST, scope.rests),
    )
    yield from (kind for kind, entries in there if entries)


def _used(scope: Scope) -> Iterator[str]:
    """Give the labels that are on the page."""
    if any(one.counts_from_sitting > 1 for one in scope.findings):
        yield COUNTS
    for one in (*scope.remedies, *scope.rests):
        there = ((NOT_IF, one.unless), (FIRST, one.after), (AGAIN, one.recheck), (MAY_BRING, one.provokes))
        yield from (label for label, entries in there if entries)
    if scope.remedies:
        yield UNDO_LABEL
    if scope.harming:
        yield MAY_BRING
