"""The trail: what was found and done so far, a line for each of a reed's standing entries."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from kb.log.entry import (
    Answered,
    BladeUp,
    Entry,
    EntryId,
    Graded,
    Measured,
    Overviewed,
    Played,
    Remarked,
    RemedyDone,
    Rested,
    SittingOpened,
    ThicknessMeasured,
    Weather,
    What,
)
from kb.model import Answer, Finding, Ruleset
from kb.units import Length, shown
from tui.draw.literal import literal
from tui.language import worded, worded_count

SIGN: Final = {Answer.YES: "●", Answer.SLIGHTLY: "◐", Answer.NO: "○", Answer.UNSURE: "?"}
"""A sign for each answer; the word always stands beside it."""


@dataclass(frozen=True, slots=True)
class TrailLine:
    """One entry, as it is read at the desk."""

    entry: EntryId
    sign: str
    word: str
    """`yes`, `done`, `rest`, …"""
    is_step: bool
    """Whether something was done to the reed, or a sitting opened: what one looks for in a trail."""
    text: str
    round: int
    """From 1."""
    at: str
    """When, as the log has it."""


def trail_of(entries: Iterable[Entry], ruleset: Ruleset, length: Length) -> tuple[TrailLine, ...]:
    """Give the lines of one reed's standing entries, oldest first."""
    lines = []
    number = 1
    for entry in entries:
        said = _said(entry.what, ruleset, length)
        if said is not None:
            sign, word, text = said
            is_step = isinstance(entry.what, RemedyDone | Rested | SittingOpened)
            lines.append(TrailLine(entry.id, sign, word, is_step, literal(text), number, entry.at))
        if isinstance(entry.what, RemedyDone | Rested):
            number += 1
    return tuple(lines)


def picked_rows(symptoms: Iterable[Finding], taken: Iterable[Answered]) -> list[str]:
    """Give a list to pick from, with what was taken signed and named."""
    told = {one.finding: one.answer for one in taken}
    return [
        literal(
            f"{SIGN[told[one.id]]} {worded(told[one.id].value)}  {one.title}" if one.id in told else one.title
        )
        for one in symptoms
    ]


def _said(  # noqa: C901, PLR0911, PLR0912 - one line for each kind of entry
    what: What, ruleset: Ruleset, length: Length
) -> tuple[str, str, str] | None:
    match what:
        case Answered():
            finding = ruleset.finding.get(what.finding)
            return SIGN[what.answer], worded(what.answer.value), finding.title if finding else what.finding
        case Overviewed():
            priority = ruleset.priority.get(what.priority)
            title = priority.title if priority else what.priority
            return ("○", worded("all fine"), title) if what.fine else ("●", worded("not fine"), title)
        case Measured():
            quantity = ruleset.quantity.get(what.quantity)
            if quantity is None:
                return "↔", f"{what.value:g}", what.quantity
            return "↔", shown(what.value, quantity.unit, length), quantity.title
        case ThicknessMeasured():
            places = len(what.spots)
            return (
                "↔",
                worded_count("{count} place", "{count} places", places),
                worded("Thickness of the blade"),
            )
        case RemedyDone():
            return "◆", worded("done"), _operation(what.remedy, ruleset)
        case Rested():
            return "☾", worded("rest"), _operation(what.rest, ruleset) if what.rest else worded("Left alone")
        case SittingOpened():
            return "▪", worded("opened"), worded("Sitting {number}", number=what.number)
        case Remarked():
            return "✎", worded("remark"), what.text
        case BladeUp():
            return "↑", worded("blade up"), what.blade
        case Weather():
            said = [f"{what.temperature:g} °C"] if what.temperature is not None else []
            said += (
                [worded("{humidity} % humidity", humidity=f"{what.humidity:g}")]
                if what.humidity is not None
                else []
            )
            return "☀", worded("weather"), ", ".join(said) or worded("not known")
        case Played():
            return "♪", worded("played"), f"{what.hours:g} h"
        case Graded():
            return "★", worded("grade"), f"{what.grade}: {what.reason}" if what.reason else what.grade
        case _:
            return None


def _operation(id_: str, ruleset: Ruleset) -> str:
    return next((operation.title for operation in ruleset.operations if operation.id == id_), id_)
