"""`canebrake check`: what is wrong with rulesets, and where.

The exit code is 1 with errors (with `--strict` with warnings too), and 2 where a file could not be
read at all; of several files the highest counts.
"""

import argparse
from collections.abc import Sequence
from typing import Final

from kb.problem import Problem, Severity
from tui.cli.report import problem_lines, summing_line
from tui.cli.saying import complain, tell, tell_json
from tui.draw.cells import hung
from tui.exit_code import ExitCode
from tui.shelf import Opened, ShelfError, open_ruleset
from tui.wiring import Surroundings

HELP: Final = "say what is wrong with a ruleset, and where"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.add_argument(
        "rulesets", metavar="RULESET", nargs="+", help="a file, or the id of an installed ruleset"
    )
    parser.add_argument("--strict", action="store_true", help="let warnings fail too")
    parser.add_argument(
        "--deep",
        action="store_true",
        help="ask as well how the ruleset behaves, on 300 virtual reeds; takes its time",
    )
    form = parser.add_mutually_exclusive_group()
    form.add_argument("--json", action="store_true", help="print them as JSON")
    form.add_argument("--sarif", action="store_true", help="print them as SARIF 2.1.0, for code hosts")


def run(arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
    """Check every ruleset and print all problems."""
    opened: list[Opened] = []
    code = ExitCode.DONE
    for said in arguments.rulesets:
        try:
            opened.append(open_ruleset(said))
        except ShelfError as fault:
            complain(around, str(fault))
            code = ExitCode.COULD_NOT_START
    if arguments.deep:
        from tui.cli.deep import all_deepened  # noqa: PLC0415 - what it leads to loads the numbers

        opened, asked = all_deepened(opened, around)
        code = max(code, asked)
    problems = tuple(problem for one in opened for problem in one.problems)
    if arguments.json:
        _tell_json(around, problems)
    elif arguments.sarif:
        from tui.cli.sarif import sarif_log  # noqa: PLC0415 - the rarest of the three

        tell_json(around, sarif_log(problems))
    elif opened:
        _tell(around, opened)
    return max(code, _verdict(problems, strict=arguments.strict))


def _verdict(problems: Sequence[Problem], *, strict: bool) -> ExitCode:
    failing = any(strict or problem.severity is Severity.ERROR for problem in problems)
    return ExitCode.NO if failing else ExitCode.DONE


def _tell(around: Surroundings, opened: Sequence[Opened]) -> None:
    for one in opened:
        for problem in one.problems:
            tell(around, problem_lines(problem, one.excerpt(problem.span), around.width, around.fold))
    problems = [problem for one in opened for problem in one.problems]
    tell(around, hung(summing_line([one.said for one in opened], problems), around.fold))


def _tell_json(around: Surroundings, problems: Sequence[Problem]) -> None:
    errors = sum(problem.severity is Severity.ERROR for problem in problems)
    tell_json(
        around,
        {
            "problems": [
                {
                    "file": problem.span.file,
                    "line": problem.span.line,
                    "column": problem.span.column,
                    "end_line": problem.span.end_line,
                    "end_column": problem.span.end_column,
                    "severity": problem.severity.value,
                    "check": problem.check,
                    "message": problem.message,
                    "hint": problem.hint,
                }
                for problem in problems
            ],
            "errors": errors,
            "warnings": len(problems) - errors,
        },
    )
