"""`canebrake reeds`: the box of reeds. What can be asked for, and who does it.

The actions live in modules of their own, by what they touch: looking, writing, files, planning.
"""

import argparse
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from engine.upkeep import Stage
from kb.disk import DiskError
from kb.log.fault import LogError
from kb.settings import read_settings, write_units
from kb.units import Length
from tui.cli.parser import Parser, PartParser, WrongUsage
from tui.cli.reeds import files, look, measure, plan, strip, write
from tui.cli.reeds.asked import Asked
from tui.cli.saying import complain
from tui.exit_code import ExitCode
from tui.wiring import Surroundings

HELP: Final = "the reeds in your log: list, show, compare, plan, describe, measure, copy, hand over"


@dataclass(frozen=True, slots=True)
class _Action:
    """One thing that the command can do."""

    name: str
    help: str
    run: Callable[[Asked], ExitCode]
    words: tuple[tuple[str, str, str], ...] = ()
    """Each word that it wants: its place in the arguments, how it is shown, what it is."""
    options: Callable[[argparse.ArgumentParser], None] = lambda _parser: None
    json: bool = False


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the command's arguments."""
    parser.add_argument("--json", action="store_true", help="for programs")
    _list_options(parser)
    parts = parser.add_subparsers(dest="what", metavar="WHAT", parser_class=PartParser)
    around = parser.around if isinstance(parser, Parser) else None
    for action in _ACTIONS:
        part = parts.add_parser(action.name, help=action.help, description=action.help, around=around)
        for place, shown, what in action.words:
            part.add_argument(place, metavar=shown, help=what)
        action.options(part)
        if action.json:
            part.add_argument("--json", action="store_true", default=argparse.SUPPRESS, help="for programs")


def run(arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
    """Do what was asked."""
    named = arguments.what or "list"
    action = next(one for one in _ACTIONS if one.name == named)
    try:
        return action.run(Asked(arguments, around))
    except (LogError, DiskError) as error:
        complain(around, str(error))
        return ExitCode.COULD_NOT_START


def _units(asked: Asked) -> ExitCode:
    folder, wanted = asked.around.config_folder, asked.text("unit")
    if not wanted:
        read = read_settings(folder)
        if read.problem:
            complain(asked.around, read.problem)
        asked.say(f"Lengths are shown and typed in {read.units.value}.")
        return ExitCode.DONE
    if wanted not in list(Length):
        raise WrongUsage(f"{wanted!r} is no unit for lengths; write mm or inch")
    try:
        write_units(folder, Length(wanted))
    except OSError as error:
        complain(asked.around, f"the settings in {folder} could not be written: {error.strerror}")
        return ExitCode.COULD_NOT_START
    asked.say(f"Lengths are shown and typed in {wanted} from now on.")
    return ExitCode.DONE


def _list_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--is",
        dest="is_",
        action="append",
        default=argparse.SUPPRESS,
        choices=[stage.value for stage in Stage],
        metavar="HOW",
        help=f"only those that are {', '.join(stage.value for stage in Stage)}; may be said more than once",
    )
    parser.add_argument("--grade", metavar="WORD", default=argparse.SUPPRESS, help="only those of this grade")
    parser.add_argument(
        "--cane", metavar="TEXT", default=argparse.SUPPRESS, help="only those whose cane is so described"
    )
    parser.add_argument(
        "--since", metavar="DATE", default=argparse.SUPPRESS, help="only those used on or after this day"
    )


def _show_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--numbers", action="store_true", help="number the entries, for take-back")
    parser.add_argument(
        "--thickness",
        metavar="PROFILE",
        nargs="?",
        const="",
        help="its thicknesses instead, against a target of its rules (the first)",
    )


def _said(parser: argparse.ArgumentParser) -> None:
    keys = ", ".join(write.KEYS)
    parser.add_argument("said", nargs="*", metavar="KEY=TEXT", help=f"what it is like: {keys}")


def _optional(name: str, shown: str, what: str) -> Callable[[argparse.ArgumentParser], None]:
    def declare(parser: argparse.ArgumentParser) -> None:
        parser.add_argument(name, metavar=shown, nargs="?", help=what)

    return declare


def _did_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--strokes", metavar="N", help="how many")
    parser.add_argument("--where", metavar="ZONE", help="a zone of its rules, or your own words")


def _tonight_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--concert", metavar="DATE", help="the day they are wanted (a week from now)")
    parser.add_argument("--need", metavar="N", help="how many are wanted (1)")


def _export_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", metavar="FILE", nargs="?", help="where to; standard output if not said")
    parser.add_argument(
        "--bare", action="store_true", help="only what it teaches: no names, remarks, photos or dates"
    )


def _hand_over_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("-o", "--output", metavar="FILE", help="where to; standard output if not said")


def _restore_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--yes", action="store_true", help="do not ask first")


_NAME: Final = ("name", "NAME", "the reed")
_FILE: Final = ("file", "FILE", "the file")
_ACTIONS: Final[tuple[_Action, ...]] = (
    _Action(
        "list",
        "every reed in a line (if nothing is said)",
        look.list_reeds,
        (),
        _list_options,
        json=True,
    ),
    _Action("show", "one reed and its story", look.show, (_NAME,), _show_options, json=True),
    _Action("compare", "two reeds side by side", look.compare, (_NAME, ("other", "OTHER", "another"))),
    _Action("tonight", "what to work on for a date", plan.tonight, (), _tonight_options, json=True),
    _Action("new", "put a reed into the box before its first sitting", write.new, (_NAME,), _said),
    _Action("describe", "say or correct what a reed is made from", write.describe, (_NAME,), _said),
    _Action(
        "measure",
        "enter readings, by hand or from a table",
        measure.measure,
        (_NAME,),
        measure.add_options,
    ),
    _Action(
        "strip",
        "what thinning and clipping do to a strip's stiffness, for orientation",
        strip.strip,
        (),
        strip.add_options,
    ),
    _Action(
        "did",
        "say that a remedy or rest of its rules was done",
        write.did,
        (_NAME, ("remedy", "REMEDY", "its id")),
        _did_options,
    ),
    _Action("played", "count hours of playing", write.played, (_NAME, ("hours", "HOURS", "such as 1.5"))),
    _Action(
        "grade",
        "say what it is good for: concert, rehearsal, practice, spare, set aside, or a word of your own",
        write.grade,
        (_NAME, ("grade", "WORD", "the grade")),
        _optional("reason", "REASON", "why"),
    ),
    _Action("remark", "a remark for yourself", write.remark, (_NAME, ("text", "TEXT", "the remark"))),
    _Action(
        "photo",
        "keep where a photo of it lies",
        write.photo,
        (_NAME, _FILE),
        _optional("remark", "REMARK", "what it shows"),
    ),
    _Action(
        "take-back",
        "take an entry back; it stays in the log and no longer counts",
        write.take_back,
        (_NAME, ("number", "N", "its number, from show --numbers")),
    ),
    _Action("rename", "call it something else", write.rename, (_NAME, ("new", "NEW-NAME", "the new name"))),
    _Action(
        "pin",
        "judge it by these rules from now on",
        write.pin,
        (_NAME,),
        _optional(
            "ruleset", "RULESET", "a file, an installed id, or the digest of one that the log keeps; its own"
        ),
    ),
    _Action(
        "hand-over",
        "one reed as a file, for another log to import",
        files.hand_over,
        (_NAME,),
        _hand_over_options,
    ),
    _Action("backup", "copy the log", files.backup, (_FILE,)),
    _Action(
        "restore",
        "bring a copy back; what is there is kept aside",
        files.restore,
        (_FILE,),
        _restore_options,
    ),
    _Action("export", "the log as JSON Lines", files.export, (), _export_options),
    _Action("import", "take in what another log exported; nothing is doubled", files.take_in, (_FILE,)),
    _Action("check", "look through the whole log", files.check, (), json=True),
    _Action(
        "units",
        "how lengths are shown and typed: mm or inch",
        _units,
        (),
        _optional("unit", "UNIT", "mm or inch"),
    ),
)
