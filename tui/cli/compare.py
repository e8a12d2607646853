"""`canebrake compare`: what differs between two rulesets, in meaning.

The question is whether they are the same: exit code 0 says yes, 1 no, and 2 that one of them
cannot be used.
"""

import argparse
from typing import Final

from kb.compare.changes import compare
from tui.cli.compare_report import Side, comparison_json, comparison_lines
from tui.cli.saying import complain, tell, tell_json
from tui.exit_code import ExitCode
from tui.shelf import ShelfError, usable_ruleset
from tui.wiring import Surroundings

HELP: Final = "say what differs between two rulesets, by entry and not by line"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.add_argument("before", metavar="A", help="a ruleset: a file, or the id of an installed one")
    parser.add_argument("after", metavar="B", help="the ruleset to compare it with")
    parser.add_argument("--json", action="store_true", help="print everything as JSON")


def run(arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
    """Compare, and tell."""
    try:
        before, after = (Side(said, usable_ruleset(said)) for said in (arguments.before, arguments.after))
    except ShelfError as fault:
        complain(around, str(fault))
        return ExitCode.COULD_NOT_START
    found = compare(before.ruleset, after.ruleset)
    if arguments.json:
        tell_json(around, comparison_json(before, after, found))
    else:
        tell(around, comparison_lines(before, after, found, around.width))
    return ExitCode.DONE if found.is_same else ExitCode.NO
