"""What stands around the card: ranks and suspects, said from the engine's advice. Nothing is weighed here."""

from typing import Final

from engine.findings import latest_told
from engine.interview import AskCard, Card, DoCard, RestCard, StopCard
from engine.step import Advice
from engine.wording import LARGE_UNLISTED, not_exact
from kb.ids import CauseId, ZoneId
from kb.model import Ending, Ruleset
from tui.app.widgets.causes import Suspect
from tui.app.widgets.masthead import Heading, Rank
from tui.desk import Desk
from tui.draw.literal import literal
from tui.language import worded

WORTH_A_LINE: Final = 0.05
"""Chances below this are not shown beside the card; `w` shows more."""


def ranks_of(ruleset: Ruleset, advice: Advice | None) -> tuple[Rank, ...]:
    """Give the priorities; how they stand is known once there is advice."""
    order = [priority.id for priority in ruleset.priorities]
    if advice is None or advice.step is None:
        stands = [""] * len(order)
    elif advice.priority is None:
        stands = ["clear"] * len(order)
    else:
        now = order.index(advice.priority)
        stands = ["clear" if at < now else "now" if at == now else "later" for at in range(len(order))]
    return tuple(
        Rank(literal(priority.title), literal(priority.goal), stand)
        for priority, stand in zip(ruleset.priorities, stands, strict=True)
    )


def suspects_of(ruleset: Ruleset, advice: Advice, before: Advice | None, most: int) -> tuple[Suspect, ...]:
    """Give the likeliest causes, each with its chance before the last answer."""
    earlier: dict[CauseId, float] = dict(before.belief.causes) if before is not None else {}
    return tuple(
        Suspect(literal(ruleset.cause[id_].title), chance, ruleset.cause[id_].elsewhere, earlier.get(id_))
        for id_, chance in advice.belief.causes[:most]
        if chance >= WORTH_A_LINE
    )


def said_of_causes(card: Card | None, desk: Desk) -> str:
    """Say what the bars are about; nothing where they would only worry: beside a reed that is ready."""
    if isinstance(card, StopCard) and card.ending is Ending.READY:
        return ""
    case, ruleset = desk.interview.case, desk.ruleset
    told = (latest_told(ruleset, case, finding.id) for finding in ruleset.findings)
    shows = any(latest is not None and latest[1].is_present for latest in told)
    return worded("What may be behind it" if shows else "Likely before anything shows")


def note_of(advice: Advice) -> str:
    """Say what the bars do not: a cause that is not listed, figures that are not exact."""
    notes = []
    if advice.belief.unlisted >= LARGE_UNLISTED:
        notes.append(worded("Perhaps none of these: something shows that the ruleset does not explain."))
    if not advice.belief.exact:
        notes.append(f"≈ {not_exact(advice.belief)}")
    return " ".join(notes)


def zone_of(card: Card) -> ZoneId | None:
    """Give the zone that a card is about."""
    match card:
        case AskCard():
            return card.finding.zone
        case DoCard() | RestCard():
            return card.operation.zone if card.operation is not None else None
        case _:
            return None


def about(card: Card | None) -> str:
    """Give the id of the entry that a card is about, or nothing."""
    match card:
        case AskCard():
            return card.finding.id
        case DoCard() | RestCard():
            return card.operation.id if card.operation is not None else ""
        case _:
            return ""


def likeliest(advice: Advice) -> str:
    """Give the id of the likeliest cause: where a map is best looked at when the card is about no entry."""
    return next((str(id_) for id_, _ in advice.belief.causes), "")


def wait_of(card: Card | None) -> float | None:
    """Give the minutes that a card's step takes, where they can be waited for at the desk."""
    match card:
        case DoCard():
            hours = card.operation.hours
            return hours * 60 if card.operation.is_rest and hours else card.operation.minutes
        case _:
            return None


def heading_of(desk: Desk) -> Heading:
    """Give what stands at the top."""
    history = desk.history
    return Heading(
        literal(desk.name) or worded("No reed named: nothing is kept"),
        literal(desk.ruleset.title),
        desk.interview.case.sitting,
        desk.interview.spent.minutes,
        desk.ruleset.sitting.minutes,
        blade_up=literal(history.blade_up) if history is not None else "",
    )
