"""`canebrake practice`: a virtual reed with a hidden fault, for a student."""

import argparse
from typing import Final

from tui.cli.parser import WrongUsage
from tui.cli.saying import complain
from tui.exit_code import ExitCode
from tui.wiring import Surroundings, chance_of, some_reed

HELP: Final = "find out and mend a virtual reed's hidden fault; then see what the engine would have done"
LONGEST_SEED: Final = 18
"""Digits."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.add_argument("ruleset", metavar="RULESET", help="a file, or the id of an installed ruleset")
    parser.add_argument("--seed", metavar="N", help="which reed: the same number, the same reed and luck")
    parser.add_argument("--plain", action="store_true", help="line by line, for screen readers and pipes")


def run(arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
    """Hand over a reed, and review what was made of it."""
    seed = _seed(arguments.seed, around)
    if around.is_terminal and not arguments.plain:
        from tui.app.main import open_practice  # noqa: PLC0415 - loads the screen library

        return open_practice(arguments.ruleset, seed, around)
    return _in_lines(arguments.ruleset, seed, around)


def _in_lines(said: str, seed: int, around: Surroundings) -> ExitCode:
    from tui.shelf import ShelfError, ready_ruleset  # noqa: PLC0415 - the full screen paints its frame before

    try:
        ruleset = ready_ruleset(said).ruleset
    except ShelfError as fault:
        complain(around, str(fault))
        return ExitCode.COULD_NOT_START
    from engine.practice import begin  # noqa: PLC0415 - loads the numbers, which a wrong usage does not need
    from kb.settings import read_settings  # noqa: PLC0415 - the same
    from tui.plain.lines import Lines  # noqa: PLC0415 - the same
    from tui.plain.practising import PracticeFront  # noqa: PLC0415 - the same

    source = chance_of(seed, 0)
    practice = begin(ruleset, source)
    if practice is None:
        complain(around, "by this ruleset no reed has a symptom, so there is nothing to practise on")
        return ExitCode.NO
    settings = read_settings(around.config_folder)
    lines = Lines(around.stdin, around.stdout, around.width, settings.units, echo=not around.is_terminal)
    PracticeFront(practice, source, lambda: chance_of(seed, 0), seed, lines).run()
    return ExitCode.DONE


def _seed(text: str | None, around: Surroundings) -> int:
    if text is None:
        return some_reed(around.new_id())
    if not (text.isascii() and text.isdigit() and len(text) <= LONGEST_SEED):
        raise WrongUsage(f"--seed takes a whole number of at most {LONGEST_SEED} digits, not {text!r}")
    return int(text)
