"""What was asked of `canebrake reeds`, and what all its actions share: the log, a reed by name, entries."""

import argparse
import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from functools import wraps
from typing import TYPE_CHECKING, Concatenate, Final, ParamSpec

from kb.log.entry import Entry, EntryId, ReedId, RulesetMark, What
from kb.log.replay import ReedHistory
from kb.log.store import ReedLog
from tui.box import find, histories, log_path, moment, no_such_reed, plain_text
from tui.cli.parser import WrongUsage
from tui.cli.saying import complain
from tui.draw.literal import literal
from tui.exit_code import ExitCode
from tui.wiring import Surroundings

if TYPE_CHECKING:
    from tui.desk import ChosenRuleset  # loads the interview

NONE_YET: Final = "No reed is in the log yet. Begin one with: canebrake interview --reed NAME"
More = ParamSpec("More")
_DATE: Final = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


@dataclass(frozen=True, slots=True)
class Asked:
    """What the command line asks for, and the surroundings in which it is done."""

    arguments: argparse.Namespace
    around: Surroundings

    def text(self, name: str) -> str:
        """Give an argument as text; empty where it was not said."""
        value = getattr(self.arguments, name, None)
        return "" if value is None else str(value)

    def texts(self, name: str) -> tuple[str, ...]:
        """Give an argument that takes several words."""
        return tuple(str(one) for one in getattr(self.arguments, name, None) or ())

    def has(self, name: str) -> bool:
        """Whether a switch is set, or an argument said."""
        return bool(getattr(self.arguments, name, None))

    def day(self, name: str) -> date | None:
        """Give an argument that is a date. Raises WrongUsage when it is none."""
        text = self.text(name)
        if not text:
            return None
        read = read_day(text)
        if read is None:
            raise WrongUsage(f"{text!r} is no date; write it as 2026-12-04")
        return read

    def say(self, text: str) -> None:
        """Write a line of the answer."""
        self.around.stdout.write(literal(text) + "\n")

    def open(self, *, create: bool = False) -> ReedLog | None:
        """Open the log; None when there is none yet and none is to be made."""
        path = log_path(self.around.data_folder)
        if not create and not path.exists():
            return None
        return ReedLog.open(path)

    def reed(self, log: ReedLog, name: str) -> ReedHistory | None:
        """Find a reed by its name or id, or say that there is none, or that several are called so."""
        reeds = histories(log)
        found = find(reeds, name)
        if found is None:
            complain(self.around, no_such_reed(reeds, name) if reeds else NONE_YET)
            return None
        alike = [one for one in reeds if one.name == found.name]
        if len(alike) > 1 and plain_text(name).casefold() == found.name.casefold():
            named = ", ".join(f"{one.id[:SHORT_ID]} (last used {day(one.last_used)})" for one in alike)
            complain(
                self.around, f"{len(alike)} reeds are called “{found.name}”; name one by its id: {named}"
            )
            return None
        return found

    def rules_for(self, reed: ReedHistory, log: ReedLog) -> "ChosenRuleset | None":
        """Find the rules that judge a reed, or say why there are none."""
        from tui.choosing import NoRuleset, choose  # noqa: PLC0415 - loads the reader of rulesets

        chosen = choose(None, reed, log)
        if isinstance(chosen, NoRuleset):
            complain(self.around, chosen.sentence)
            return None
        return chosen

    def entry(self, reed: ReedId, what: What, mark: RulesetMark | None = None) -> Entry:
        """Make an entry that happens now."""
        at = self.around.now().isoformat(timespec="seconds")
        return Entry(EntryId(self.around.new_id()), reed, at, mark, what)


def in_the_log(
    act: Callable[Concatenate[Asked, ReedLog, More], ExitCode],
) -> Callable[Concatenate[Asked, More], ExitCode]:
    """Let `act` have the log. Where there is none yet, that is said, and nothing is done."""

    @wraps(act)
    def done(asked: Asked, /, *more: More.args, **named: More.kwargs) -> ExitCode:
        log = asked.open()
        if log is None:
            complain(asked.around, NONE_YET)
            return ExitCode.COULD_NOT_START
        with log:
            return act(asked, log, *more, **named)

    return done


def on_a_reed(
    act: Callable[Concatenate[Asked, ReedLog, ReedHistory, More], ExitCode],
) -> Callable[Concatenate[Asked, More], ExitCode]:
    """Let `act` have the log and the reed that NAME means. Where there is none, that is said."""

    @in_the_log
    @wraps(act)
    def done(asked: Asked, log: ReedLog, /, *more: More.args, **named: More.kwargs) -> ExitCode:
        reed = asked.reed(log, asked.text("name"))
        if reed is None:
            return ExitCode.COULD_NOT_START
        return act(asked, log, reed, *more, **named)

    return done


SHORT_ID: Final = 12
"""Signs of a reed's id that are shown; enough to name it by."""


def rules_of(log: ReedLog, reed: ReedHistory) -> "ChosenRuleset | None":
    """Give the rules in whose words a reed's story is told: those kept with it, else those installed."""
    from tui.choosing import NoRuleset, choose, kept_ruleset  # noqa: PLC0415 - loads the reader of rulesets

    if reed.mark is None:
        return None
    kept = kept_ruleset(log, reed.mark)
    if kept is not None:
        return kept
    chosen = choose(None, reed, log)
    return None if isinstance(chosen, NoRuleset) else chosen


def day(at: str) -> str:
    """Give the day of an entry's time."""
    return f"{moment(at):%Y-%m-%d}"


def read_day(text: str) -> date | None:
    """Read an ISO date; None when it is none."""
    try:
        return date.fromisoformat(text) if _DATE.fullmatch(text) else None
    except ValueError:
        return None
