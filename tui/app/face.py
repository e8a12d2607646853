"""What a card shows: its words, its keys, its field. Made here, without a screen, from the engine's card.

Nothing is decided here that the engine decides; this only says it in words.
"""

from dataclasses import dataclass, replace
from typing import Final, assert_never

from engine.case import Case
from engine.interview import (
    AskCard,
    Card,
    DisagreeCard,
    DoCard,
    OverviewCard,
    PickCard,
    RestCard,
    StopCard,
)
from kb.ids import FindingId, ToolId, ZoneId
from kb.model import By, Ending, Finding, Quantity, Remedy, Ruleset
from kb.notes import NoteNames, note_shown
from kb.units import Length
from tui.app.reading import show_target
from tui.draw.literal import literal, literal_lines
from tui.language import worded, worded_later
from tui.words import UNDO, answered_when, minutes

ANSWER_CAPS: Final = ("answer-yes", "answer-slightly", "answer-no", "answer-unsure")
"""Ids of the keys that answer a question: see `tui.app.keys`."""

_LEADS: Final = {
    By.LOOK: worded_later("Look"),
    By.FEEL: worded_later("Feel"),
    By.MEASURE: worded_later("Measure"),
    By.CROW: worded_later("Crow the reed"),
    By.PLAY: worded_later("Play"),
}
_ENDS: Final = {
    Ending.READY: (worded_later("Ready"), worded_later("The reed is ready")),
    Ending.ACCEPT: (worded_later("Good enough"), worded_later("Take the reed as it is")),
    Ending.SET_ASIDE: (worded_later("An end"), worded_later("Set this reed aside")),
}


@dataclass(frozen=True, slots=True)
class Face:
    """Everything that one card puts on the screen."""

    kind: str
    lead: str
    """A word or two above: what sort of card it is."""
    headline: str
    """The question or the step, large."""
    text: str = ""
    """How to do it."""
    facts: tuple[tuple[str, str], ...] = ()
    """Label and value, such as zone and tool."""
    caution: str = ""
    caps: tuple[str, ...] = ()
    """Ids of the keys that belong to this card."""
    rows: tuple[str, ...] = ()
    """Lines to choose from."""
    quantity: Quantity | None = None
    """A reading of this answers it too."""
    target: str = ""
    why: tuple[str, ...] = ()
    zone: ZoneId | None = None
    """To be lit on the reed."""


def face_of(
    card: Card, ruleset: Ruleset, case: Case, length: Length, names: NoteNames = NoteNames.ENGLISH
) -> Face:
    """Say `card` in words. What the ruleset's author wrote is made safe to print here, once."""
    face = _face(card, ruleset, case, length, names)
    return replace(
        face,
        lead=literal(face.lead),
        headline=literal(face.headline),
        text="\n".join(literal_lines(face.text)),
        facts=tuple((label, literal(value)) for label, value in face.facts),
        caution=literal(face.caution),
        rows=tuple(literal(row) for row in face.rows),
        target=literal(face.target),
        why=tuple(literal(sentence) for sentence in face.why),
    )


def _face(card: Card, ruleset: Ruleset, case: Case, length: Length, names: NoteNames) -> Face:  # noqa: PLR0911 - one for each kind of card
    match card:
        case AskCard():
            return _ask(card, ruleset, case.sitting, length, names)
        case OverviewCard():
            return Face(
                "overview",
                worded("{title}, all in all", title=card.priority.title),
                card.priority.ask or card.priority.goal,
                caps=("all-fine", "something-wrong"),
            )
        case PickCard():
            return Face(
                "pick",
                worded("{title}: take what fits", title=card.priority.title),
                worded("What is wrong?"),
                caps=("picked", "answer-slightly", "ask-me"),
                rows=tuple(symptom.title for symptom in card.symptoms),
            )
        case DoCard():
            return _do(card.operation, card.why, ruleset)
        case RestCard():
            return _rest(card, ruleset)
        case StopCard():
            lead, headline = _ENDS[card.ending]
            return Face("stop", worded(lead), worded(headline), caps=("grade",), why=card.why)
        case DisagreeCard():
            return _disagree(card, ruleset, case)
        case _:
            assert_never(card)


def early(finding: Finding) -> str:
    """Say of a finding that does not count yet from when it does."""
    return worded(
        "a yes is kept, but does not count before sitting {number}", number=finding.counts_from_sitting
    )


def _ask(card: AskCard, ruleset: Ruleset, sitting: int, length: Length, names: NoteNames) -> Face:
    finding = card.finding
    where = ((worded("Where"), ruleset.zone[finding.zone].title),) if finding.zone is not None else ()
    is_early = finding.counts_from_sitting > sitting
    note = ((worded("Early"), early(finding)),) if is_early else ()
    quantity = ruleset.quantity[card.quantity] if card.quantity is not None else None
    return Face(
        "ask",
        lead_of(finding, names, opening=card.opening),
        finding.ask,
        text=finding.help,
        facts=(*where, *note),
        caps=ANSWER_CAPS,
        quantity=quantity,
        target=show_target(quantity, length) if quantity else "",
        why=card.why,
        zone=finding.zone,
    )


def lead_of(finding: Finding, names: NoteNames = NoteNames.ENGLISH, *, opening: bool = False) -> str:
    """Say how a finding is come by, and what to play for it."""
    parts = [worded(_LEADS[finding.by])] if finding.by is not None else []
    if finding.tie is not None:
        parts.append(f"{note_shown(finding.tie.note, names)} {finding.tie.dynamic}".strip())
    said = ", ".join(parts) or worded("A question")
    return worded("To begin with: {lead}", lead=f"{said[0].lower()}{said[1:]}") if opening else said


def _do(operation: Remedy, why: tuple[str, ...], ruleset: Ruleset) -> Face:
    if operation.is_rest:
        return _wait(operation, why, ruleset, "done")
    return Face(
        "do",
        worded("Do this"),
        operation.title,
        text=operation.do,
        facts=_facts(operation, ruleset),
        caution=operation.caution,
        caps=("where", "done") if operation.zone is not None else ("done", "other"),
        why=why,
        zone=operation.zone,
    )


def _rest(card: RestCard, ruleset: Ruleset) -> Face:
    if card.operation is None:
        return Face(
            "rest",
            worded("Enough for today"),
            worded("Leave the reed until the next sitting"),
            caps=("rest-now", "other"),
            why=card.why,
        )
    return _wait(card.operation, card.why, ruleset, "rest-now")


def _wait(operation: Remedy, why: tuple[str, ...], ruleset: Ruleset, cap: str) -> Face:
    hours = ((worded("Hours"), f"{operation.hours:g}"),) if operation.hours else ()
    return Face(
        "rest",
        worded("Enough for today") if operation.new_sitting else worded("Let it be"),
        operation.title,
        text=operation.do,
        facts=(*hours, *_facts(operation, ruleset)) if not operation.new_sitting else hours,
        caution=operation.caution,
        caps=(cap, "other"),
        why=why,
        zone=operation.zone,
    )


def _facts(operation: Remedy, ruleset: Ruleset) -> tuple[tuple[str, str], ...]:
    facts = []
    if operation.zone is not None:
        facts.append((worded("Where"), ruleset.zone[operation.zone].title))
    if operation.tool is not None:
        facts.append((worded("Tool"), _tool(operation.tool, ruleset)))
    facts.append((worded("Takes"), minutes(operation.minutes)))
    if not operation.is_rest:
        facts.append((worded("It"), worded(UNDO[operation.undo])))
    if operation.too_far:
        facts.append((worded("Too far when"), operation.too_far))
    return tuple(facts)


def _tool(tool: ToolId, ruleset: Ruleset) -> str:
    return ruleset.tool[tool].title


def _disagree(card: DisagreeCard, ruleset: Ruleset, case: Case) -> Face:
    return Face(
        "disagree",
        worded("Too much at once") if card.refusal else worded("These answers disagree"),
        worded("They cannot be weighed together")
        if card.refusal
        else worded("They cannot all be true of this reed"),
        text=card.refusal
        or worded(
            "By this ruleset no reed gives all of them. Look again; take the line that was wrong back."
        ),
        rows=tuple(_where(round_, finding, ruleset, case) for round_, finding in card.answers),
    )


def _where(round_: int, finding: FindingId, ruleset: Ruleset, case: Case) -> str:
    known = ruleset.finding.get(finding)
    return f"{known.title if known else finding}  ({answered_when(ruleset, case, round_) or worded('now')})"
