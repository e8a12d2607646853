"""Words typed at the desk about the reed as a thing: strokes of the last remedy, hours played, photos."""

from engine.upkeep import MOST_HOURS, MOST_STROKES
from kb.log.entry import Pictured, Played, RemedyDone, Strokes
from kb.units import with_unit
from tui.language import worded
from tui.plain.outcome import Outcome, Talking


def strokes(front: Talking, rest: str) -> Outcome:
    """Say how the last remedy was done."""
    if not any(isinstance(entry.what, RemedyDone) for entry in front.desk.standing):
        front.lines.say(worded("No remedy was done yet."))
        return Outcome.SAME
    number, _, where = (rest or front.lines.ask(worded("How many, and where if you like"))).partition(" ")
    if not number:
        return Outcome.SAME
    if not (number.isascii() and number.isdigit() and len(number) < 8 and 0 < int(number) <= MOST_STROKES):
        front.lines.say(worded("Type a number and, if you like, where, such as: strokes 3 left channel"))
        return Outcome.SAME
    front.say(Strokes(int(number), where.strip()))
    return Outcome.SAME


def played(front: Talking, rest: str) -> Outcome:
    """Count hours of playing."""
    hours = with_unit(
        rest or front.lines.ask(worded("How many hours, or nothing for never mind")) or "0", "h"
    )
    if hours is None or not 0.0 < hours <= MOST_HOURS:
        front.lines.say(worded("Type hours, such as: played 1.5 or played 40 min"))
        return Outcome.SAME
    front.say(Played(hours))
    return Outcome.SAME


def photo(front: Talking, rest: str) -> Outcome:
    """Keep where a photo lies; the file is not opened."""
    path = rest or front.lines.ask(worded("Where it lies, or nothing for never mind"))
    if path:
        front.say(Pictured(path))
    return Outcome.SAME
