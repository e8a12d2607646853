"""What a typed line means for the card that is shown."""

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
from kb.ids import QuantityId
from kb.log.entry import Answered, Measured, Overviewed, RemedyDone, Rested, SittingOpened, What
from kb.model import Answer, Remedy
from kb.units import has_unit_or_decimals
from tui.language import worded, worded_later
from tui.plain import said
from tui.plain.cards import ends_the_day
from tui.plain.commands import did, found, grade
from tui.plain.outcome import Outcome, Talking
from tui.plain.picking import ANSWER_WORDS, is_named

_NUMERIC: Final = frozenset("0123456789.,+-")
_NOT_UNDERSTOOD: Final = worded_later(
    "That was not understood. Type one of the numbers or words, or ? for what else can be typed."
)


def take(front: Talking, card: Card, line: str) -> Outcome:  # noqa: PLR0911 - one for each card
    """Enter what `line` says about `card`, or say that it was not understood."""
    word = line.casefold()
    match card:
        case AskCard():
            return _ask(front, card, line)
        case OverviewCard():
            return _overview(front, card, word)
        case PickCard():
            return _pick(front, card, word)
        case DoCard() | RestCard() if ends_the_day(card):
            return _leave(front, card, word)
        case DoCard() | RestCard():
            return _do(front, card, word)
        case StopCard():
            return _stop(front, word)
        case DisagreeCard():
            return _disagree(front, card, word)
        case _:
            assert_never(card)


def _ask(front: Talking, card: AskCard, line: str) -> Outcome:
    answer = ANSWER_WORDS.get(line.casefold())
    # A bare 1 to 4 is one of the answers; a reading shows by its decimals, its unit, or its size.
    is_reading = has_unit_or_decimals(line) or (answer is None and line[:1] in _NUMERIC)
    if card.quantity is not None and is_reading:
        return _reading(front, card.quantity, line)
    if answer is None:
        return _not_understood(front)
    front.say(Answered(card.finding.id, answer))
    return Outcome.NEXT


def _reading(front: Talking, quantity: QuantityId, line: str) -> Outcome:
    value = said.reading(line, front.desk.ruleset.quantity[quantity], front.lines.length)
    if isinstance(value, str):
        front.lines.say(value)
        return Outcome.SAME
    front.say(Measured(quantity, value))
    return Outcome.NEXT


def _overview(front: Talking, card: OverviewCard, word: str) -> Outcome:
    if word in {"1", "yes", "y", "fine", "all fine"}:
        front.say(Overviewed(card.priority.id, fine=True, clear=card.clears))
    elif word in {"2", "no", "n", "wrong", "something", "something is wrong"}:
        front.say(Overviewed(card.priority.id, fine=False))
    else:
        return _not_understood(front)
    return Outcome.NEXT


def _pick(front: Talking, card: PickCard, word: str) -> Outcome:
    if word in {"0", "ask", "asked"}:
        front.desk = front.desk.ask_instead()
        return Outcome.NEXT
    number, _, how = word.partition(" ")
    answer = ANSWER_WORDS.get(how) if how else Answer.YES
    if answer is not None and _is_number(number, len(card.symptoms)):
        front.say(Answered(card.symptoms[int(number) - 1].id, answer))
        return Outcome.NEXT
    named = [n for n, one in enumerate(card.symptoms, 1) if is_named(one.title, word)]
    if len(named) == 1:
        front.say(Answered(card.symptoms[named[0] - 1].id, Answer.YES))
        return Outcome.NEXT
    if not named:
        return _not_understood(front)
    front.lines.say(
        worded("More than one of them: {numbers}. Type the number.", numbers=", ".join(map(str, named)))
    )
    return Outcome.SAME


def _do(front: Talking, card: DoCard | RestCard, word: str) -> Outcome:
    # A yes or a no is taken for neither: nobody asked, and what was done cannot be taken off the reed.
    if word in {"1", "done"}:
        front.say(done(card.operation))
        return Outcome.NEXT
    if word in {"2", "other", "something else"}:
        return did(front, "")
    return Outcome.STOP if word == "3" else _not_understood(front)


def _leave(front: Talking, card: DoCard | RestCard, word: str) -> Outcome:
    if word in {"1", "done", "leave"}:
        front.say(done(card.operation))
        return Outcome.STOP
    if word in {"2", "rested", "go on"}:
        front.say(done(card.operation))
        front.desk = front.desk.say(SittingOpened(front.desk.interview.case.sitting))
        front.tell_sitting()
        return Outcome.NEXT
    return did(front, "") if word in {"3", "other", "something else"} else _not_understood(front)


def done(operation: Remedy | None) -> What:
    """Give the entry for an operation that was done; None is a night in which nothing was."""
    if operation is None:
        return Rested(None, new_sitting=True)
    if operation.is_rest:
        return Rested(operation.id, operation.new_sitting)
    return RemedyDone(operation.id)


def _stop(front: Talking, word: str) -> Outcome:
    if word in {"1", "yes", "y"}:
        return Outcome.STOP
    if word == "2":
        return grade(front, "")
    return found(front, "") if word == "3" else _not_understood(front)


def _disagree(front: Talking, card: DisagreeCard, word: str) -> Outcome:
    if not _is_number(word, len(card.answers)):
        return _not_understood(front)
    for entry in front.desk.entries_behind(*card.answers[int(word) - 1]):
        front.desk = front.desk.take_back(entry) or front.desk
    front.lines.say(worded("Taken back."), "")
    return Outcome.NEXT


def _is_number(word: str, most: int) -> bool:
    return word.isascii() and word.isdigit() and len(word) < 6 and 1 <= int(word) <= most


def _not_understood(front: Talking) -> Outcome:
    front.lines.say(worded(_NOT_UNDERSTOOD))
    return Outcome.SAME
