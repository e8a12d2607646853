"""What each card says in lines: the question or the step, and the numbered ways to answer it."""

from collections.abc import Iterator
from typing import Final, assert_never

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
from kb.ids import FindingId
from kb.model import By, Finding, Quantity, Remedy, Ruleset
from kb.notes import NoteNames, note_shown
from kb.units import Length, number_shown, shown, unit_shown
from tui.language import worded, worded_later
from tui.words import ENDINGS, UNDO, minutes

ANSWERS: Final = worded_later("1 yes, 2 slightly, 3 no, 4 unsure")
_BY: Final = {
    By.LOOK: worded_later("Look"),
    By.FEEL: worded_later("Feel"),
    By.MEASURE: worded_later("Measure"),
    By.CROW: worded_later("Crow the reed"),
    By.PLAY: worded_later("Play"),
}


def body(  # noqa: PLR0911 - one for each card
    card: Card, ruleset: Ruleset, sitting: int, length: Length, names: NoteNames = NoteNames.ENGLISH
) -> tuple[str, ...]:
    """Say what is asked or proposed."""
    match card:
        case AskCard():
            return tuple(_question(card.finding, card.quantity, ruleset, sitting, length, names))
        case OverviewCard():
            return (
                card.priority.ask or worded("Is all well with this: {title}?", title=card.priority.title),
            )
        case PickCard():
            listed = (f"{n} {one.title}" for n, one in enumerate(card.symptoms, 1))
            return (worded("{title}: which of these is it?", title=card.priority.title), *listed)
        case DoCard():
            return tuple(_operation(card.operation, ruleset))
        case RestCard():
            if card.operation is None:
                return (worded("Enough for today: leave the reed until the next sitting."),)
            return tuple(_operation(card.operation, ruleset))
        case StopCard():
            return (worded(ENDINGS[card.ending]),)
        case DisagreeCard():
            listed = (
                worded("{n} {title} (round {round})", n=n, title=title(ruleset, finding), round=round_)
                for n, (round_, finding) in enumerate(card.answers, 1)
            )
            disagree = worded(
                "By these rules the answers cannot all be true of one reed. Look at these again:"
            )
            return (f"{card.refusal}:".capitalize() if card.refusal else disagree, *listed)
        case _:
            assert_never(card)


def choices(card: Card, ruleset: Ruleset, length: Length) -> str:  # noqa: PLR0911 - one for each card
    """Give the prompt: the ways to answer this card."""
    match card:
        case AskCard():
            if card.quantity is None:
                return worded(ANSWERS)
            return worded(
                "{answers}, or a reading such as {example}",
                answers=worded(ANSWERS),
                example=example(ruleset.quantity[card.quantity], length),
            )
        case OverviewCard():
            return worded("1 all fine, 2 something is wrong")
        case PickCard():
            return worded("A number, words of one of them, or 0 to be asked one by one")
        case DoCard() | RestCard() if ends_the_day(card):
            return worded("1 leave it and stop for today, 2 it has rested: go on, 3 I did something else")
        case DoCard() | RestCard():
            return worded("1 done, 2 I did something else, 3 stop for today")
        case StopCard():
            return worded("1 stop here, 2 give the reed a grade, 3 tell another finding")
        case DisagreeCard():
            return worded("The number of the answer to take back")
        case _:
            assert_never(card)


def ends_the_day(card: DoCard | RestCard) -> bool:
    """Whether what is proposed lasts until the next sitting."""
    return card.operation is None or (card.operation.is_rest and card.operation.new_sitting)


def reasons(card: Card) -> tuple[str, ...]:
    """Give the card's own reasons, then what the ruleset's author says for the operation."""
    match card:
        case DoCard() | RestCard() if card.operation is not None and card.operation.why:
            return (*card.why, card.operation.why)
        case AskCard() | DoCard() | RestCard() | StopCard():
            return card.why
        case _:
            return ()


def title(ruleset: Ruleset, finding: FindingId) -> str:
    """Give a finding's title, or its id where this ruleset does not have it."""
    known = ruleset.finding.get(finding)
    return known.title if known is not None else finding


def usual_size(quantity: Quantity) -> float:
    """Give a number of the size that is wanted: the middle of the target.

    Limits only say what is possible, and their middle would be 250 hours of playing: a tenth is taken.
    """
    if quantity.target is not None:
        return round(sum(quantity.target) / 2, 3)
    low, high = quantity.limits or (1.0, 1.0)
    return round(low + (high - low) / 10, 3)


def example(quantity: Quantity, length: Length) -> str:
    """Give a reading of the size that is wanted, with its unit and a decimal point."""
    number = number_shown(usual_size(quantity), quantity.unit, length)
    number = number if "." in number else f"{number}.0"
    return f"{number} {unit_shown(quantity.unit, length)}".strip()


def _question(
    finding: Finding, quantity: str | None, ruleset: Ruleset, sitting: int, length: Length, names: NoteNames
) -> Iterator[str]:
    how = worded(_BY[finding.by]) if finding.by is not None else ""
    if finding.tie is not None:
        note = f"{note_shown(finding.tie.note, names)} {finding.tie.dynamic}".strip()
        is_played = finding.by is By.PLAY
        how = worded("Play {note}", note=note) if is_played else f"{how or worded('Play')} ({note})"
    yield f"{how}: {finding.ask}" if how else finding.ask
    if finding.zone is not None:
        yield worded("Where: {title}.", title=ruleset.zone[finding.zone].title)
    if finding.counts_from_sitting > sitting:
        yield (
            worded(
                "A yes is kept but does not count before sitting {number}; this is sitting {sitting}.",
                number=finding.counts_from_sitting,
                sitting=sitting,
            )
        )
    known = next((one for one in ruleset.quantities if one.id == quantity), None)
    if known is not None and known.target is not None:
        low, high = known.target
        yield (
            worded(
                "{title}: the target is {low} to {high}.",
                title=known.title,
                low=number_shown(low, known.unit, length),
                high=shown(high, known.unit, length),
            )
        )


def _operation(operation: Remedy, ruleset: Ruleset) -> Iterator[str]:
    yield f"{worded('Let it rest' if operation.is_rest else 'Do this')}: {operation.title}."
    yield operation.do
    facts = []
    if operation.zone is not None:
        facts.append(worded("Where: {title}.", title=ruleset.zone[operation.zone].title))
    if operation.tool is not None:
        facts.append(worded("With: {title}.", title=ruleset.tool[operation.tool].title))
    if operation.hours:
        facts.append(worded("About {hours} hours.", hours=f"{operation.hours:g}"))
    elif not operation.new_sitting:
        facts.append(worded("About {minutes}.", minutes=minutes(operation.minutes)))
    if not operation.is_rest:
        facts.append(worded("It {can}.", can=worded(UNDO[operation.undo])))
    if facts:
        yield " ".join(facts)
    if operation.caution:
        yield worded("Caution: {caution}", caution=operation.caution)
    if operation.too_far:
        yield worded("Too far: {too_far}", too_far=operation.too_far)
