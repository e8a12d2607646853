"""`canebrake interview`: the guided interview, on the full screen or line by line."""

import argparse
from contextlib import ExitStack
from dataclasses import dataclass, replace
from datetime import datetime, time
from pathlib import Path
from typing import TYPE_CHECKING, Final

from kb.disk import DiskError, read_bounded
from kb.log.fault import LogError
from kb.notes import NoteNames
from kb.settings import read_settings
from kb.units import Length
from tui.cli.parser import WrongUsage
from tui.cli.saying import complain
from tui.exit_code import ExitCode
from tui.wiring import Surroundings

# The rules, the engine and the log are loaded on use: the full screen paints its frame before.
if TYPE_CHECKING:
    from kb.log.replay import ReedHistory
    from kb.log.store import ReedLog
    from kb.model import GivenRound, Ruleset
    from tui.choosing import NoRuleset
    from tui.desk import ChosenRuleset, Desk

HELP: Final = "be asked about a reed and told the next step (the full screen, or --plain line by line)"
_NOON: Final = time(12)


@dataclass(frozen=True, slots=True)
class _Wishes:
    """The command line, checked."""

    ruleset: str | None
    reed: str | None
    hours_left: float | None
    plain: bool
    answers: Path | None
    length: Length
    names: NoteNames
    new_sitting: bool
    mouse: bool


@dataclass(frozen=True, slots=True)
class _Chosen:
    """What a desk begins with."""

    ruleset: "ChosenRuleset"
    log: "ReedLog | None"
    reed: "ReedHistory | None"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the command's arguments."""
    parser.add_argument(
        "ruleset",
        nargs="?",
        metavar="RULESET",
        help="a file, or the id of an installed ruleset; without it that reed's, else the only one installed",
    )
    parser.add_argument(
        "--reed", metavar="NAME", help="the reed to go on with, or a new one; kept in the log"
    )
    parser.add_argument(
        "--by",
        metavar="DATE",
        help="when the reed is needed, 2026-12-04 (noon is meant) or 2026-12-04T19:30; rests that do not fit "
        "are left out",
    )
    parser.add_argument("--plain", action="store_true", help="line by line: for pipes and screen readers")
    parser.add_argument(
        "--no-mouse", action="store_true", help="on the full screen, leave the mouse to the terminal"
    )
    parser.add_argument(
        "--answers",
        metavar="FILE",
        help="play a rounds file (JSON); what it does not answer is answered unsure",
    )
    parser.add_argument(
        "--units", choices=[one.value for one in Length], help="lengths in mm or inch, this once"
    )
    parser.add_argument(
        "--new-sitting", action="store_true", help="a new sitting begins, though it is the same day"
    )


def run(arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
    """Hold the interview."""
    wishes = _wishes(arguments, around)
    try:
        return _hold(wishes, around)
    except (LogError, DiskError) as error:
        complain(around, str(error))
        return ExitCode.COULD_NOT_START
    except KeyboardInterrupt:
        kept = (
            "everything you answered is kept"
            if wishes.reed is not None
            else "no reed was named, nothing is kept"
        )
        around.stdout.write("\n")
        complain(around, f"interrupted; {kept}")
        return ExitCode.INTERRUPTED


def _hold(wishes: _Wishes, around: Surroundings) -> ExitCode:
    hold = _on_the_screen
    if wishes.plain or not around.is_terminal or wishes.answers is not None:
        hold, wishes = _in_lines, _with_name_asked_for(wishes, around)
    ended = hold(wishes, around)
    if not isinstance(ended, ExitCode) and ended.several and around.is_terminal:
        ruleset = _asked_for(ended.several, around)
        ended = ended if ruleset is None else hold(replace(wishes, ruleset=ruleset), around)
    if isinstance(ended, ExitCode):
        return ended
    complain(around, ended.sentence)
    return ExitCode.COULD_NOT_START


def _on_the_screen(wishes: _Wishes, around: Surroundings) -> "ExitCode | NoRuleset":
    from tui.app.main import open_sitting  # noqa: PLC0415 - loads the screen library

    with ExitStack() as closing:

        def begin() -> "Desk | NoRuleset":
            from tui.choosing import NoRuleset  # noqa: PLC0415 - loads the rules and the engine

            try:
                chosen = _chosen(wishes, around, closing)
                return chosen if isinstance(chosen, NoRuleset) else _desk(chosen, wishes, around)
            except (LogError, DiskError) as error:
                return NoRuleset(str(error))

        if wishes.ruleset is None and wishes.reed is None:
            # Which rules are meant may have to be asked, in lines: no screen shall flash up before that.
            from tui.choosing import NoRuleset  # noqa: PLC0415 - as above

            begun = begin()
            if isinstance(begun, NoRuleset):
                return begun
            return open_sitting(lambda: begun, "", around, wishes.length, mouse=wishes.mouse)
        heading = "   ".join(one for one in (wishes.reed, wishes.ruleset) if one is not None)
        return open_sitting(begin, heading, around, wishes.length, mouse=wishes.mouse)


def _in_lines(wishes: _Wishes, around: Surroundings) -> "ExitCode | NoRuleset":
    from tui.choosing import NoRuleset  # noqa: PLC0415 - loads the rules and the engine

    with ExitStack() as closing:
        chosen = _chosen(wishes, around, closing)
        if isinstance(chosen, NoRuleset):
            return chosen
        # Read before the reed is touched: a slip in the file must not open a sitting.
        rounds = _rounds(wishes.answers, chosen.ruleset.ruleset, around)
        if rounds is None:
            return ExitCode.COULD_NOT_START
        desk = _desk(chosen, wishes, around)
        return _talk(desk, rounds if wishes.answers is not None else None, wishes, around)


def _chosen(wishes: _Wishes, around: Surroundings, closing: ExitStack) -> "_Chosen | NoRuleset":
    """Open the log where a reed is named, and choose its rules. Raises LogError, DiskError."""
    from tui.choosing import NoRuleset, choose  # noqa: PLC0415 - see above

    log, reed = None, None
    if wishes.reed is not None:
        from kb.log.store import ReedLog  # noqa: PLC0415 - loads SQLite, which nothing else here needs
        from tui.box import find, histories, log_path  # noqa: PLC0415 - the same

        log = closing.enter_context(ReedLog.open(log_path(around.data_folder)))
        if log.read_only:
            return NoRuleset(log.read_only)
        reed = find(histories(log), wishes.reed)
    chosen = choose(wishes.ruleset, reed, log)
    return chosen if isinstance(chosen, NoRuleset) else _Chosen(chosen, log, reed)


def _desk(chosen: _Chosen, wishes: _Wishes, around: Surroundings) -> "Desk":
    from tui.desk import Desk  # noqa: PLC0415 - see above

    if chosen.log is None or wishes.reed is None:
        return Desk.without_reed(
            chosen.ruleset, clock=around.now, ids=around.new_id, hours_left=wishes.hours_left
        )
    return Desk.with_reed(
        chosen.log,
        wishes.reed,
        chosen.reed,
        chosen.ruleset,
        clock=around.now,
        ids=around.new_id,
        hours_left=wishes.hours_left,
        new_sitting=wishes.new_sitting,
    )


def _talk(
    desk: "Desk", rounds: "tuple[GivenRound, ...] | None", wishes: _Wishes, around: Surroundings
) -> ExitCode:
    from tui.plain.front import Front  # noqa: PLC0415 - the full screen does without
    from tui.plain.lines import Lines  # noqa: PLC0415 - the same

    front = Front(
        desk,
        Lines(
            around.stdin,
            around.stdout,
            around.width,
            wishes.length,
            not around.is_terminal,
            wishes.names,
        ),
    )
    if rounds is None:
        front.run()
    else:
        from tui.plain.replaying import Replay  # noqa: PLC0415 - the same

        Replay(front, rounds).run()
    return ExitCode.DONE


def _wishes(arguments: argparse.Namespace, around: Surroundings) -> _Wishes:
    name = None
    if arguments.reed is not None:
        from tui.box import reed_name  # noqa: PLC0415 - loads the log's entries

        name = reed_name(arguments.reed)
        if name is None:
            raise WrongUsage("a reed's name has 1 to 80 visible characters")
    settings = read_settings(around.config_folder)
    if settings.problem:
        complain(around, settings.problem)
    return _Wishes(
        arguments.ruleset,
        name,
        None if arguments.by is None else _hours_until(arguments.by, around.now()),
        bool(arguments.plain),
        None if arguments.answers is None else Path(arguments.answers),
        settings.units if arguments.units is None else Length(arguments.units),
        settings.notes,
        bool(arguments.new_sitting),
        not arguments.no_mouse,
    )


def _hours_until(text: str, now: datetime) -> float:
    """Give the hours until a date; a bare date means noon, so that a night before it still counts."""
    try:
        wanted = datetime.fromisoformat(text)
    except ValueError:
        raise WrongUsage(f"{text!r} is no date; write it like 2026-12-04 or 2026-12-04T19:30") from None
    if wanted.date() < now.date():
        raise WrongUsage(f"{text} is past")
    if "T" not in text and " " not in text:
        wanted = datetime.combine(wanted.date(), _NOON)
    if wanted.tzinfo is None:
        wanted = wanted.replace(tzinfo=now.tzinfo)
    return max(0.0, (wanted - now).total_seconds() / 3600)


def _with_name_asked_for(wishes: _Wishes, around: Surroundings) -> _Wishes:
    """On a terminal, offer to name the reed; without a name nothing is kept."""
    if wishes.reed is not None or not around.is_terminal or wishes.answers is not None:
        return wishes
    from tui.box import reed_name  # noqa: PLC0415 - loads the log's entries
    from tui.plain.lines import InputEnded, Lines  # noqa: PLC0415 - the full screen does without

    lines = Lines(around.stdin, around.stdout, around.width)
    lines.say("Which reed is it? Its answers are kept under a name of yours.")
    try:
        name = reed_name(lines.ask("A name, or nothing to keep nothing"))
    except InputEnded:
        return wishes
    return wishes if name is None else replace(wishes, reed=name)


def _asked_for(several: tuple[str, ...], around: Surroundings) -> str | None:
    """Ask which of the installed rulesets is meant; None where none is."""
    from tui.plain.lines import InputEnded, Lines  # noqa: PLC0415 - the full screen does without
    from tui.plain.picking import pick  # noqa: PLC0415 - the same

    lines = Lines(around.stdin, around.stdout, around.width)
    lines.say("By which rules?")
    try:
        return pick(lines, [(one, one) for one in several], "", nothing="")
    except InputEnded:
        return None


def _rounds(path: Path | None, ruleset: "Ruleset", around: Surroundings) -> "tuple[GivenRound, ...] | None":
    """Read the rounds file; None when something is wrong with it, which is then said."""
    if path is None:
        return ()
    from kb.rounds import LARGEST, read_rounds  # noqa: PLC0415 - only --answers reads one

    read = read_rounds(ruleset, read_bounded(path, LARGEST))
    for problem in read.problems:
        complain(around, f"{path}: {problem}")
    return None if read.problems else read.rounds
