"""What stands around the card: ranks and suspects, said from the engine's advice. Nothing is weighed here."""

from typing import Final

from engine.interview import AskCard, Card, DoCard, RestCard
from engine.step import Advice
from engine.wording import LARGE_UNLISTED, not_exact
from kb.ids import CauseId, ZoneId
from kb.model import Ruleset
from tui.app.widgets.causes import Suspect
from tui.app.widgets.masthead import Heading, Rank
from tui.desk import Desk
from tui.draw.literal import literal

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


def note_of(advice: Advice) -> str:
    """Say what the bars do not: a cause that is not listed, figures that are not exact."""
    notes = []
    if advice.belief.unlisted >= LARGE_UNLISTED:
        notes.append("Perhaps none of these: something shows that the ruleset does not explain.")
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


def heading_of(desk: Desk) -> Heading:
    """Give what stands at the top."""
    history = desk.history
    return Heading(
        literal(desk.name) or "No reed named: nothing is kept",
        literal(desk.ruleset.title),
        desk.interview.case.sitting,
        desk.interview.spent.minutes,
        desk.ruleset.sitting.minutes,
        blade_up=literal(history.blade_up) if history is not None else "",
    )
