"""`canebrake reeds new`, `describe`, `played`, `grade`, `remark`, `photo`, `take-back`, `rename`, `pin`.

What is put into the log without sitting down at the desk. Nothing is ever changed: a correction is one
more entry, and what was taken back stays.
"""

from dataclasses import fields
from pathlib import Path
from typing import Final

from engine.upkeep import MOST_HOURS, MOST_STROKES
from kb.ids import RemedyId
from kb.log.entry import (
    BladeUp,
    Blank,
    Graded,
    Pictured,
    Pinned,
    Played,
    ReedId,
    ReedMade,
    Remarked,
    RemedyDone,
    Renamed,
    Rested,
    RulesetMark,
    SittingOpened,
    Strokes,
    TakenBack,
    What,
)
from kb.log.replay import ReedHistory, standing
from kb.log.store import ReedLog
from kb.units import with_unit
from tui.box import find, histories, plain_text, reed_name
from tui.cli.parser import WrongUsage
from tui.cli.reeds.asked import Asked, on_a_reed, read_day
from tui.cli.saying import complain
from tui.exit_code import ExitCode

LONGEST_TEXT: Final = 4000
_WORDS: Final = {"built-by": "built_by", "made-on": "made_on"}
KEYS: Final = ("cane", "shape", "gouge", "profile", "made-on", "built-by", "blade-up")
"""What `new` and `describe` take as KEY=TEXT."""


def new(asked: Asked) -> ExitCode:
    """Put a reed into the box before its first sitting."""
    name = reed_name(asked.text("name"))
    if name is None:
        raise WrongUsage("a reed's name has 1 to 80 visible characters")
    said = _described(asked.texts("said"))
    log = asked.open(create=True)
    if log is None:
        return ExitCode.COULD_NOT_START
    with log:
        taken = find(histories(log), name)
        if taken is not None and taken.name.casefold() == name.casefold():
            complain(asked.around, f"another reed is called “{taken.name}” already")
            return ExitCode.COULD_NOT_START
        reed = ReedId(asked.around.new_id())
        made = ReedMade(name, said.blade_up.blade if said.blade_up else "")
        more = () if said.blank == Blank() else (said.blank,)
        log.append(*(asked.entry(reed, what) for what in (made, *more)))
    asked.say(f"“{name}” is in the box. Its first sitting: canebrake interview --reed '{name}'")
    return ExitCode.DONE


def describe(asked: Asked) -> ExitCode:
    """Say, or correct, what a reed was made from."""
    said = _described(asked.texts("said"))
    whats: tuple[What, ...] = () if said.blank == Blank() else (said.blank,)
    if said.blade_up is not None:
        whats = (*whats, said.blade_up)
    return _add(asked, whats, "Noted.")


def played(asked: Asked) -> ExitCode:
    """Count hours of playing."""
    text = asked.text("hours")
    hours = with_unit(text, "h")
    if hours is None or not 0.0 < hours <= MOST_HOURS:
        raise WrongUsage(f"{text!r} are no hours; write how long it was played, such as 1.5")
    return _add(asked, (Played(hours),), f"Noted: {hours:g} h.")


def grade(asked: Asked) -> ExitCode:
    """Say what the reed is good for, and why."""
    word, reason = plain_text(asked.text("grade")), plain_text(asked.text("reason"))
    if not word or len(word) > LONGEST_TEXT:
        raise WrongUsage("a grade is a word, such as concert, rehearsal, practice, spare or set aside")
    return _add(asked, (Graded(word, reason[:LONGEST_TEXT]),), f"Noted: {word}.")


def remark(asked: Asked) -> ExitCode:
    """Keep a remark."""
    text = plain_text(asked.text("text"))
    if not text or len(text) > LONGEST_TEXT:
        raise WrongUsage(f"a remark has 1 to {LONGEST_TEXT} visible characters")
    return _add(asked, (Remarked(text),), "Noted.")


def photo(asked: Asked) -> ExitCode:
    """Keep where a photo lies. The file is not opened and not copied."""
    path = asked.text("file")
    if not path or plain_text(path) != path or len(path) > LONGEST_TEXT:
        raise WrongUsage("that cannot be kept as the name of a file")
    told = Pictured(path, plain_text(asked.text("remark"))[:LONGEST_TEXT])
    code = _add(asked, (told,), "Noted. The photo stays where it is; the log keeps only its name.")
    if code is ExitCode.DONE and not _is_there(path):
        complain(asked.around, f"there is no file {path} now; its name is kept all the same")
    return code


def did(asked: Asked) -> ExitCode:
    """Say that a remedy or rest was done, and with how many strokes."""
    strokes = asked.text("strokes")
    if strokes and not (strokes.isdecimal() and len(strokes) < 8 and 0 < int(strokes) <= MOST_STROKES):
        raise WrongUsage(f"{strokes!r} is no number of strokes")
    return _did(asked, int(strokes) if strokes else None)


@on_a_reed
def _did(asked: Asked, log: ReedLog, reed: ReedHistory, strokes: int | None) -> ExitCode:
    from tui.desk import Desk  # noqa: PLC0415 - loads the interview

    chosen = asked.rules_for(reed, log)
    if chosen is None:
        return ExitCode.COULD_NOT_START
    operation = chosen.ruleset.operation.get(RemedyId(asked.text("remedy")))
    if operation is None:
        complain(asked.around, _no_such(asked.text("remedy"), tuple(chosen.ruleset.operation)))
        return ExitCode.COULD_NOT_START
    whats: tuple[What, ...] = (RemedyDone(operation.id),)
    if operation.is_rest:
        whats = (Rested(operation.id, operation.new_sitting, operation.hours or None),)
    if strokes is not None or asked.has("where"):
        whats = (*whats, Strokes(strokes, plain_text(asked.text("where"))[:80]))
    desk = Desk.with_reed(log, reed.name, reed, chosen, clock=asked.around.clock, ids=asked.around.ids)
    desk.say_all(*whats)
    for note in desk.notes:
        complain(asked.around, note)
    asked.say(f"Noted: {operation.title}.")
    return ExitCode.DONE


def _no_such(remedy: str, known: tuple[str, ...]) -> str:
    from difflib import get_close_matches  # noqa: PLC0415 - only a mistake needs it

    near = get_close_matches(remedy, known, 1)
    return f"these rules have no remedy or rest {remedy!r}" + (f"; did you mean {near[0]!r}?" if near else "")


@on_a_reed
def take_back(asked: Asked, log: ReedLog, reed: ReedHistory) -> ExitCode:
    """Take an entry back, whichever sitting it belongs to. It stays in the log."""
    entries = standing(log.entries_of(reed.id))
    number = asked.text("number")
    place = int(number) if number.isascii() and number.isdigit() and len(number) < 8 else 0
    if not 1 <= place <= len(entries):
        complain(
            asked.around,
            f"“{reed.name}” has no entry {number}; canebrake reeds show --numbers lists them",
        )
        return ExitCode.COULD_NOT_START
    chosen = entries[place - 1]
    if isinstance(chosen.what, ReedMade | SittingOpened):
        complain(asked.around, "that a reed was made, or a sitting opened, is not taken back")
        return ExitCode.COULD_NOT_START
    log.append(asked.entry(reed.id, TakenBack(chosen.id)))
    asked.say("Taken back. It stays in the log and no longer counts.")
    return ExitCode.DONE


def rename(asked: Asked) -> ExitCode:
    """Give a reed another name."""
    name = reed_name(asked.text("new"))
    if name is None:
        raise WrongUsage("a reed's name has 1 to 80 visible characters")
    return _rename(asked, name)


@on_a_reed
def _rename(asked: Asked, log: ReedLog, reed: ReedHistory, name: str) -> ExitCode:
    taken = find(histories(log), name)
    if taken is not None and taken.id != reed.id:
        complain(asked.around, f"another reed is called “{taken.name}” already")
        return ExitCode.COULD_NOT_START
    log.append(asked.entry(reed.id, Renamed(name)))
    asked.say(f"“{reed.name}” is called “{name}” from now on.")
    return ExitCode.DONE


@on_a_reed
def pin(asked: Asked, log: ReedLog, reed: ReedHistory) -> ExitCode:
    """Let a reed be judged by one text of a ruleset from now on."""
    mark = _mark_to_pin(asked, log, reed)
    if mark is None:
        return ExitCode.COULD_NOT_START
    log.append(asked.entry(reed.id, Pinned(mark), mark))
    asked.say(f"“{reed.name}” is judged by {mark.id} {mark.version} from now on.")
    return ExitCode.DONE


def _mark_to_pin(asked: Asked, log: ReedLog, reed: ReedHistory) -> RulesetMark | None:
    from tui.choosing import NoRuleset, by_words, kept_mark  # noqa: PLC0415 - loads the reader of rulesets

    words = asked.text("ruleset")
    if not words:
        if reed.mark is None:
            complain(asked.around, f"“{reed.name}” was not judged by any rules yet; name a ruleset")
        return reed.mark
    mark = kept_mark(log, words)
    if mark is not None:
        return mark
    chosen = by_words(words)
    if isinstance(chosen, NoRuleset):
        complain(asked.around, chosen.sentence)
        return None
    log.keep_ruleset(chosen.mark, chosen.text, *chosen.bases)
    return chosen.mark


@on_a_reed
def _add(asked: Asked, log: ReedLog, reed: ReedHistory, whats: tuple[What, ...], answer: str) -> ExitCode:
    log.append(*(asked.entry(reed.id, what) for what in whats))
    asked.say(answer)
    return ExitCode.DONE


class _Described:
    """What was said of a reed on the command line."""

    __slots__ = ("blade_up", "blank")

    def __init__(self, blank: Blank, blade_up: BladeUp | None) -> None:
        self.blank, self.blade_up = blank, blade_up


def _described(said: tuple[str, ...]) -> _Described:
    parts: dict[str, str] = {}
    for one in said:
        key, equals, text = one.partition("=")
        key = key.strip().casefold()
        if not equals or key not in KEYS:
            raise WrongUsage(f"{one!r} is not one of {', '.join(KEYS)}, followed by = and what it is")
        parts[key] = plain_text(text)[:LONGEST_TEXT]
    made = parts.get("made-on")
    if made and read_day(made) is None:
        raise WrongUsage(f"made-on={made} is no date; write it as 2026-11-02")
    names = {part.name for part in fields(Blank)}
    whole = {_WORDS.get(key, key): text for key, text in parts.items()}
    blank = Blank(**{name: text for name, text in whole.items() if name in names})
    return _Described(blank, BladeUp(parts["blade-up"]) if "blade-up" in parts else None)


def _is_there(path: str) -> bool:
    try:
        return Path(path).exists()
    except (OSError, ValueError):
        return False
