"""`canebrake reeds`: the box of reeds. Lists, shows, pins, renames, copies and looks through the log."""

import argparse
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Final

from kb.disk import DiskError
from kb.log.entry import Entry, EntryId, Pinned, ReedId, Renamed, RulesetMark, SittingOpened, What
from kb.log.fault import LogError
from kb.log.replay import ReedHistory, standing
from kb.log.store import ReedLog
from kb.settings import read_settings, write_units
from kb.units import Length
from tui.box import find, histories, log_path, moment, no_such_reed, reed_name
from tui.cli.parser import WrongUsage
from tui.cli.saying import complain
from tui.draw.literal import literal
from tui.exit_code import ExitCode
from tui.wiring import Surroundings

HELP: Final = "the reeds in your log: list, show, pin, rename, copy, look through"
_NONE_YET: Final = "No reed is in the log yet. Begin one with: canebrake interview --reed NAME"


@dataclass(frozen=True, slots=True)
class _Asked:
    """What the command line asks for."""

    words: tuple[str, ...]
    json: bool
    around: Surroundings

    def say(self, text: str) -> None:
        self.around.stdout.write(literal(text) + "\n")

    def open(self, *, create: bool = False) -> ReedLog | None:
        """Open the log; None when there is none yet and none is to be made."""
        path = log_path(self.around.data_folder)
        if not create and not path.exists():
            return None
        return ReedLog.open(path)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the command's arguments."""
    parser.add_argument(
        "what",
        nargs="?",
        default="list",
        choices=tuple(_ACTIONS),
        metavar="WHAT",
        help="list (if nothing is said); show NAME; pin NAME RULESET (judge it by these rules from now on: a "
        "file, the id of an installed ruleset, or the digest of one that the log keeps); rename NAME NEW; "
        "backup FILE (a copy of the log); export FILE (as JSON Lines); import FILE (what another log "
        "exported; nothing is doubled); check (look through the whole log); units mm, or units inch",
    )
    parser.add_argument("words", nargs="*", metavar="NAME", help="what it is about")
    parser.add_argument("--json", action="store_true", help="for programs (list, show, check)")


def run(arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
    """Do what was asked."""
    asked = _Asked(tuple(arguments.words), bool(arguments.json), around)
    action, usage, least, most = _ACTIONS[str(arguments.what)]
    if not least <= len(asked.words) <= most:
        raise WrongUsage(f"it is written: canebrake reeds {usage}; put a name with spaces in quotes")
    try:
        return action(asked)
    except (LogError, DiskError) as error:
        complain(around, str(error))
        return ExitCode.COULD_NOT_START


def _list(asked: _Asked) -> ExitCode:
    log = asked.open()
    reeds: tuple[ReedHistory, ...] = ()
    if log is not None:
        with log:
            reeds = histories(log)
    if asked.json:
        document = {"reeds": [_as_json(reed) for reed in reeds]}
        asked.around.stdout.write(json.dumps(document, ensure_ascii=False, indent=2) + "\n")
        return ExitCode.DONE
    for reed in reeds:
        asked.say(f"{reed.name}: {'; '.join(_told(reed))}")
    if not reeds:
        asked.say(_NONE_YET)
    return ExitCode.DONE


def _show(asked: _Asked) -> ExitCode:
    log = asked.open()
    if log is None:
        complain(asked.around, _NONE_YET)
        return ExitCode.COULD_NOT_START
    with log:
        reed = _the_reed(asked, log)
        if reed is None:
            return ExitCode.COULD_NOT_START
        entries = log.entries_of(reed.id)
        if asked.json:
            from kb.log.codec import to_line  # noqa: PLC0415 - only here

            document = {**_as_json(reed), "entries": [json.loads(to_line(entry)) for entry in entries]}
            asked.around.stdout.write(json.dumps(document, ensure_ascii=False, indent=2) + "\n")
            return ExitCode.DONE
        asked.say(reed.name)
        for line in _told(reed):
            asked.say(f"  {line}")
        _tell_entries(asked, log, reed, entries)
        marks = dict.fromkeys(entry.mark for entry in entries if entry.mark is not None)
        if len(marks) > 1:
            asked.say("Rules that it was judged by so far (reeds pin takes the digest):")
            for mark in marks:
                asked.say(f"  {mark.id} {mark.version}, digest {mark.digest[:12]}")
    return ExitCode.DONE


def _tell_entries(asked: _Asked, log: ReedLog, reed: ReedHistory, entries: tuple[Entry, ...]) -> None:
    """Print the entries that count, in words, by sitting and day."""
    from tui.choosing import kept_ruleset  # noqa: PLC0415 - reading a ruleset loads its schema
    from tui.plain.said import entry_in_words  # noqa: PLC0415 - the same

    chosen = None if reed.mark is None else kept_ruleset(log, reed.mark)
    length = read_settings(asked.around.config_folder).units
    for entry in standing(entries):
        words = None if chosen is None else entry_in_words(entry.what, chosen.ruleset, length)
        if not words:
            continue
        if isinstance(entry.what, SittingOpened):
            asked.say(f"{words}, {_day(entry.at)}")
        else:
            asked.say(f"  {words}")


def _pin(asked: _Asked) -> ExitCode:
    from tui.choosing import NoRuleset, by_words, kept_mark  # noqa: PLC0415 - loads the reader of rulesets

    with ReedLog.open(log_path(asked.around.data_folder)) as log:
        reed = _the_reed(asked, log)
        if reed is None:
            return ExitCode.COULD_NOT_START
        mark: RulesetMark | None
        if len(asked.words) == 1:
            mark = reed.mark
            if mark is None:
                complain(asked.around, f"“{reed.name}” was not judged by any rules yet; name a ruleset")
                return ExitCode.COULD_NOT_START
        else:
            mark = kept_mark(log, asked.words[1])
        if mark is None:
            chosen = by_words(asked.words[1])
            if isinstance(chosen, NoRuleset):
                complain(asked.around, chosen.sentence)
                return ExitCode.COULD_NOT_START
            mark = chosen.mark
            log.keep_ruleset(mark, chosen.text, *chosen.bases)
        log.append(_entry(asked, reed.id, Pinned(mark), mark))
        asked.say(f"“{reed.name}” is judged by {mark.id} {mark.version} from now on.")
    return ExitCode.DONE


def _rename(asked: _Asked) -> ExitCode:
    new = reed_name(asked.words[1])
    if new is None:
        raise WrongUsage("a reed's name has 1 to 80 visible characters")
    log = asked.open()
    if log is None:
        complain(asked.around, _NONE_YET)
        return ExitCode.COULD_NOT_START
    with log:
        reed = _the_reed(asked, log)
        if reed is None:
            return ExitCode.COULD_NOT_START
        taken = find(histories(log), new)
        if taken is not None and taken.id != reed.id:
            complain(asked.around, f"another reed is called “{taken.name}” already")
            return ExitCode.COULD_NOT_START
        log.append(_entry(asked, reed.id, Renamed(new), None))
        asked.say(f"“{reed.name}” is called “{new}” from now on.")
    return ExitCode.DONE


def _backup(asked: _Asked) -> ExitCode:
    log = asked.open()
    if log is None:
        complain(asked.around, _NONE_YET)
        return ExitCode.COULD_NOT_START
    with log:
        log.backup(Path(asked.words[0]))
    asked.say(f"Copied to {asked.words[0]}.")
    return ExitCode.DONE


def _export(asked: _Asked) -> ExitCode:
    from kb.disk import write_whole  # noqa: PLC0415 - only here
    from kb.log.exchange import to_lines  # noqa: PLC0415 - only here

    log = asked.open()
    if log is None:
        complain(asked.around, _NONE_YET)
        return ExitCode.COULD_NOT_START
    with log:
        lines = (f"{line}\n" for line in to_lines(log))
        if asked.words and asked.words[0] != "-":
            write_whole(Path(asked.words[0]), "".join(lines).encode())
            asked.say(f"Written to {asked.words[0]}.")
        else:
            asked.around.stdout.writelines(lines)
    return ExitCode.DONE


def _import(asked: _Asked) -> ExitCode:
    from kb.log.exchange import absorb_lines  # noqa: PLC0415 - only here

    try:
        with (
            Path(asked.words[0]).open(encoding="utf-8-sig", newline="\n") as lines,
            ReedLog.open(log_path(asked.around.data_folder)) as log,
        ):
            done = absorb_lines(log, lines)
    except UnicodeDecodeError:
        complain(asked.around, f"{asked.words[0]} is not UTF-8 text; it is no export of a reed log")
        return ExitCode.COULD_NOT_START
    except OSError as error:
        complain(
            asked.around, f"{asked.words[0]} could not be read: {(error.strerror or str(error)).lower()}"
        )
        return ExitCode.COULD_NOT_START
    asked.say(f"Taken in: {done.new}. There already: {done.known}.")
    return ExitCode.DONE


def _check(asked: _Asked) -> ExitCode:
    log = asked.open()
    faults: tuple[str, ...] = ()
    if log is not None:
        with log:
            faults = log.faults()
    if asked.json:
        asked.around.stdout.write(json.dumps({"faults": list(faults)}, ensure_ascii=False) + "\n")
    else:
        for fault in faults:
            asked.say(fault)
        if not faults:
            asked.say(_NONE_YET if log is None else "The log is sound.")
    return ExitCode.NO if faults else ExitCode.DONE


def _units(asked: _Asked) -> ExitCode:
    folder = asked.around.config_folder
    if not asked.words:
        read = read_settings(folder)
        if read.problem:
            complain(asked.around, read.problem)
        asked.say(f"Lengths are shown and typed in {read.units.value}.")
        return ExitCode.DONE
    if asked.words[0] not in list(Length):
        raise WrongUsage(f"{asked.words[0]!r} is no unit for lengths; write mm or inch")
    try:
        write_units(folder, Length(asked.words[0]))
    except OSError as error:
        complain(asked.around, f"the settings in {folder} could not be written: {error.strerror}")
        return ExitCode.COULD_NOT_START
    asked.say(f"Lengths are shown and typed in {asked.words[0]} from now on.")
    return ExitCode.DONE


def _the_reed(asked: _Asked, log: ReedLog) -> ReedHistory | None:
    """Find the reed that the first word names, or say that there is none."""
    reeds = histories(log)
    reed = find(reeds, asked.words[0])
    if reed is None:
        complain(asked.around, no_such_reed(reeds, asked.words[0]) if reeds else _NONE_YET)
    return reed


def _entry(asked: _Asked, reed: ReedId, what: What, mark: RulesetMark | None) -> Entry:
    at = asked.around.now().isoformat(timespec="seconds")
    return Entry(EntryId(asked.around.new_id()), reed, at, mark, what)


def _told(reed: ReedHistory) -> list[str]:
    """Say the main things about a reed, one by one."""
    told = [reed.grade or "no grade yet"]
    told.append(f"{reed.sittings} sitting{'s' * (reed.sittings != 1)}")
    if reed.blade_up:
        told.append(f"blade up: {reed.blade_up}")
    told.append(f"last used {_day(reed.last_used)}")
    if reed.mark is not None:
        told.append(f"rules: {reed.mark.id} {reed.mark.version}{' (pinned)' * reed.pinned}")
    return told


def _day(at: str) -> str:
    return f"{moment(at):%Y-%m-%d}"


def _as_json(reed: ReedHistory) -> dict[str, object]:
    mark = reed.mark
    return {
        "name": reed.name,
        "id": reed.id,
        "grade": reed.grade or None,
        "blade_up": reed.blade_up or None,
        "sittings": reed.sittings,
        "ruleset": None if mark is None else {"id": mark.id, "version": mark.version, "digest": mark.digest},
        "pinned": reed.pinned,
        "created": reed.created,
        "last_used": reed.last_used,
    }


_ACTIONS: Final[Mapping[str, tuple[Callable[[_Asked], ExitCode], str, int, int]]] = MappingProxyType(
    {
        "list": (_list, "list", 0, 0),
        "show": (_show, "show NAME", 1, 1),
        "pin": (_pin, "pin NAME RULESET", 1, 2),
        "rename": (_rename, "rename NAME NEW-NAME", 2, 2),
        "backup": (_backup, "backup FILE", 1, 1),
        "export": (_export, "export [FILE]", 0, 1),
        "import": (_import, "import FILE", 1, 1),
        "check": (_check, "check", 0, 0),
        "units": (_units, "units mm|inch", 0, 1),
    }
)
"""Each action with how it is written and how many words it takes."""
