"""The words that can be typed at every prompt, beside the answers."""

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Final

from engine.interview import AskCard, DoCard, RestCard
from kb.ids import FindingId
from kb.log.entry import (
    Answered,
    BladeUp,
    Entry,
    Graded,
    Measured,
    Remarked,
    RemedyDone,
    Rested,
    SittingOpened,
    Weather,
)
from kb.units import typed
from tui.language import worded, worded_later
from tui.plain import keeping, said
from tui.plain.outcome import Outcome, Talking
from tui.plain.picking import ANSWER_WORDS, pick
from tui.words import OPENING, chance_word, minutes, per_cent

GRADES: Final = ("concert", "rehearsal", "practice", "spare", "set aside")
HELP: Final = (
    worded_later("back: take back the last thing said; back N takes back line N of the trail"),
    worded_later("trail: what was said and done so far, numbered"),
    worded_later("why: the reasons, and how each answer weighs"),
    worded_later("otherwise: what is still possible, and which other answers would lead to another step"),
    worded_later("how: how to find out, or how this is done"),
    worded_later("found: tell something that was not asked; found WORDS looks for it"),
    worded_later("read: enter a measurement"),
    worded_later("did: another remedy or rest than the one proposed was done"),
    worded_later("strokes N WHERE: how the last remedy was done"),
    worded_later("played HOURS: how long the reed was played"),
    worded_later("photo FILE: where a photo of it lies"),
    worded_later("remark TEXT: a remark for yourself"),
    worded_later("blade TEXT: which blade is up"),
    worded_later("grade WORD: what the reed is good for"),
    worded_later("weather DEGREES HUMIDITY: of this sitting, in Celsius and per cent"),
    worded_later("sitting: a new sitting begins now"),
    worded_later("again: say the question or step once more"),
    worded_later("stop: stop for today; everything said is kept where a reed is named"),
)


def found(front: Talking, rest: str) -> Outcome:
    """Volunteer a finding."""
    ruleset = front.desk.ruleset
    offered = [(finding.title, finding) for finding in ruleset.findings]
    nothing = worded("These rules know no finding with those words; found alone lists them all.")
    finding = pick(front.lines, offered, rest, nothing=nothing, also=lambda finding: finding.ask)
    if finding is None:
        return Outcome.SAME
    front.lines.say(finding.ask)
    while True:
        line = front.lines.ask(
            worded("1 yes, 2 slightly, 3 no, 4 unsure, or nothing for never mind")
        ).casefold()
        if not line:
            return Outcome.SAME
        answer = ANSWER_WORDS.get(line)
        if answer is not None:
            front.say(Answered(FindingId(finding.id), answer))
            return Outcome.NEXT
        front.lines.say(worded("Type a number from 1 to 4."))


def grade(front: Talking, rest: str) -> Outcome:
    """Say what the reed is good for."""
    word = rest
    if not word:
        front.lines.say(*(f"{number} {one}" for number, one in enumerate(GRADES, 1)))
        word = front.lines.ask(worded("A number, a word of your own, or nothing for never mind"))
    if not word:
        return Outcome.SAME
    if word in {str(number) for number in range(1, len(GRADES) + 1)}:
        word = GRADES[int(word) - 1]
    reason = "" if rest else front.lines.ask(worded("Why, or nothing to leave it open"))
    front.say(Graded(word, reason))
    return Outcome.SAME


def did(front: Talking, rest: str) -> Outcome:
    """Tell that another operation was done."""
    operations = front.desk.ruleset.operations
    offered = [(operation.title, operation) for operation in operations]
    nothing = worded("These rules know no remedy or rest with those words; did alone lists them all.")
    operation = pick(front.lines, offered, rest, nothing=nothing)
    if operation is None:
        return Outcome.SAME
    if not operation.is_rest:
        front.say(RemedyDone(operation.id))
        return Outcome.NEXT
    front.say(Rested(operation.id, operation.new_sitting))
    if operation.new_sitting:
        front.desk = front.desk.say(SittingOpened(front.desk.interview.case.sitting))
        front.tell_sitting()
    return Outcome.NEXT


def _read(front: Talking, rest: str) -> Outcome:
    ruleset, length = front.desk.ruleset, front.lines.length
    if not ruleset.quantities:
        front.lines.say(worded("These rules measure nothing."))
        return Outcome.SAME
    offered = [(quantity.title, quantity) for quantity in ruleset.quantities]
    quantity = pick(
        front.lines, offered, rest, nothing=worded("These rules know no measurement with those words.")
    )
    while quantity is not None:
        line = front.lines.ask(worded("{title}, or nothing for never mind", title=quantity.title))
        if not line:
            break
        value = said.reading(line, quantity, length)
        if not isinstance(value, str):
            front.say(Measured(quantity.id, value))
            return Outcome.NEXT
        front.lines.say(value)
    return Outcome.SAME


def _back(front: Talking, rest: str) -> Outcome:
    entries = front.desk.revocable()
    chosen: Entry | None
    if rest:
        if not (rest.isascii() and rest.isdigit() and len(rest) < 6 and 1 <= int(rest) <= len(entries)):
            front.lines.say(worded("The trail has no such line; type trail to see it."))
            return Outcome.SAME
        chosen = entries[int(rest) - 1]
        desk = front.desk.take_back(chosen.id)
    else:
        chosen = entries[-1] if entries else None
        desk = front.desk.take_back()
    if desk is None or chosen is None:
        front.lines.say(worded("There is nothing to take back in this sitting."))
        return Outcome.SAME
    front.desk = desk
    front.lines.say(
        worded(
            "Taken back: {entry}", entry=said.entry_in_words(chosen.what, desk.ruleset, front.lines.length)
        ),
        "",
    )
    return Outcome.NEXT


def _trail(front: Talking, _rest: str) -> Outcome:
    numbers = {entry.id: number for number, entry in enumerate(front.desk.revocable(), 1)}
    for entry in front.desk.standing:
        words = said.entry_in_words(entry.what, front.desk.ruleset, front.lines.length)
        if words:
            front.lines.say(f"{numbers[entry.id]} {words}" if entry.id in numbers else words)
    spent = front.desk.interview.spent
    front.lines.say(
        worded(
            "This sitting so far: about {time} and {cuts} of what cannot be undone."
            if spent.cuts
            else "This sitting so far: about {time}.",
            time=minutes(spent.minutes),
            cuts=spent.cuts,
        )
    )
    return Outcome.SAME


def _why(front: Talking, _rest: str) -> Outcome:
    from tui.reasons import for_and_against  # noqa: PLC0415 - loads numpy

    interview, ruleset, lines = front.desk.interview, front.desk.ruleset, front.lines
    card, step = interview.card, interview.advice.step
    if isinstance(card, AskCard) and card.opening:
        lines.say(worded(OPENING))
    elif step is not None:
        lines.say(*step.why)
    for one in interview.reasons():
        lines.say(f"{ruleset.cause[one.cause].title}: {chance_word(one.chance)} ({per_cent(one.chance)})")
        for sentence in for_and_against(ruleset, one):
            lines.say(sentence, indent="  ")
    lines.say(said.unlisted(interview.advice.belief))
    return Outcome.SAME


def _otherwise(front: Talking, _rest: str) -> Outcome:
    """Say what hangs together, what is left, and which other answers would have led elsewhere."""
    from tui import reasons  # noqa: PLC0415 - loads numpy

    interview, ruleset, lines = front.desk.interview, front.desk.ruleset, front.lines
    if interview.is_in_opening:
        lines.say(worded("Nothing was weighed yet: the opening routine asks the same of every reed."))
        return Outcome.SAME
    lines.say(worded("One moment: every other answer is weighed."))
    told = interview.account()
    lines.say(*(reasons.pair_in_words(ruleset, pair) for pair in told.pairs))
    lines.say(*reasons.remaining_in_words(ruleset, told.remaining))
    lines.say(*reasons.turning_in_words(ruleset, told.turning))
    return Outcome.SAME


def _how(front: Talking, _rest: str) -> Outcome:
    card, ruleset = front.desk.interview.card, front.desk.ruleset
    sentences: list[str] = []
    if isinstance(card, AskCard):
        sentences = [card.finding.help]
        differs = card.finding.differs
    elif isinstance(card, DoCard | RestCard) and card.operation is not None:
        caution = (
            worded("Caution: {caution}", caution=card.operation.caution) if card.operation.caution else ""
        )
        sentences = [card.operation.do, caution, card.operation.why]
        differs = card.operation.differs
    else:
        differs = ()
    for dissent in differs:
        source = ruleset.source.get(dissent.source)
        sentences.append(
            worded(
                "Another view ({source}): {says}",
                source=source.title if source else dissent.source,
                says=dissent.says,
            )
        )
    told = [sentence for sentence in sentences if sentence]
    front.lines.say(*(told or [worded("These rules say no more about it.")]))
    return Outcome.SAME


def _remark(front: Talking, rest: str) -> Outcome:
    text = rest or front.lines.ask(worded("Your remark"))
    if text:
        front.say(Remarked(text))
    return Outcome.SAME


def _blade(front: Talking, rest: str) -> Outcome:
    history = front.desk.history
    if not rest and history is not None and history.blade_up:
        front.lines.say(worded("Blade up: {blade}.", blade=history.blade_up))
    text = rest or front.lines.ask(worded("Which blade is up, in your words or marks"))
    if text:
        front.say(BladeUp(text))
    return Outcome.SAME


def _weather(front: Talking, rest: str) -> Outcome:
    parts = rest.replace("%", " ").replace("°C", " ").split()
    numbers = [typed(part.removesuffix("C"), "", front.lines.length) for part in parts]
    degrees, humidity = (*numbers, None, None)[:2]
    in_reach = degrees is not None and -40 <= degrees <= 60 and (humidity is None or 0 <= humidity <= 100)
    if not in_reach or len(numbers) > 2 or (len(numbers) == 2 and humidity is None):
        front.lines.say(
            worded("Type degrees Celsius and, if you like, humidity in per cent, such as: weather 21 55")
        )
        return Outcome.SAME
    front.say(Weather(degrees, humidity))
    return Outcome.SAME


def _sitting(front: Talking, _rest: str) -> Outcome:
    front.desk = front.desk.open_sitting()
    front.tell_sitting()
    return Outcome.NEXT


def _again(front: Talking, _rest: str) -> Outcome:
    front.show_card()
    return Outcome.SAME


def _stop(_front: Talking, _rest: str) -> Outcome:
    return Outcome.STOP


COMMANDS: Final[Mapping[str, Callable[[Talking, str], Outcome]]] = MappingProxyType(
    {
        "back": _back,
        "strokes": keeping.strokes,
        "played": keeping.played,
        "photo": keeping.photo,
        "trail": _trail,
        "why": _why,
        "otherwise": _otherwise,
        "how": _how,
        "found": found,
        "read": _read,
        "did": did,
        "remark": _remark,
        "blade": _blade,
        "grade": grade,
        "weather": _weather,
        "sitting": _sitting,
        "again": _again,
        "stop": _stop,
        "quit": _stop,
    }
)
