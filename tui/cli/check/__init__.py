"""`canebrake check`: what is wrong with rulesets, and where.

The exit code is 1 with errors (with `--strict` with warnings too), and 2 where a file could not be
read at all; of several files the highest counts.
"""

import argparse
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from kb.problem import Problem, Severity
from tui.cli.parser import WrongUsage
from tui.cli.report import coloured, problem_lines, summing_line
from tui.cli.saying import Json, complain, tell, tell_json
from tui.draw.cells import hung
from tui.exit_code import ExitCode
from tui.shelf import Opened, ShelfError, open_ruleset
from tui.wiring import Surroundings

HELP: Final = "say what is wrong with a ruleset, and where"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.add_argument(
        "rulesets", metavar="RULESET", nargs="*", help="a file, or the id of an installed ruleset"
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
    form.add_argument(
        "--mend", action="store_true", help="show what can be mended, and write it when you say yes"
    )
    form.add_argument("--watch", action="store_true", help="check again whenever a file is saved")
    form.add_argument(
        "--about",
        metavar="NAME",
        nargs="?",
        const="",
        help="print the page of a check; without NAME list all",
    )
    parser.add_argument("--yes", action="store_true", help="with --mend: write without asking")


def run(arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
    """Check every ruleset and print all problems."""
    _refuse_what_makes_no_sense(arguments)
    if arguments.about is not None:
        from tui.cli.check.about import tell_about  # noqa: PLC0415 - reads pages, and no ruleset

        return tell_about(arguments.about, around)
    if arguments.watch:
        from tui.cli.check.watch import watch  # noqa: PLC0415 - used by few

        watch(arguments.rulesets, lambda: _check(arguments, around)[0], around)
    return _check(arguments, around)[1]


def _refuse_what_makes_no_sense(arguments: argparse.Namespace) -> None:
    if arguments.about is not None and arguments.rulesets:
        raise WrongUsage("--about takes the name of one check and no ruleset (see canebrake check --help)")
    if arguments.about is None and not arguments.rulesets:
        raise WrongUsage("the following arguments are required: RULESET (see canebrake check --help)")
    if arguments.yes and not arguments.mend:
        raise WrongUsage("--yes goes with --mend (see canebrake check --help)")
    if arguments.mend and arguments.deep:
        raise WrongUsage("--deep proposes no mends: use one of --mend and --deep at a time")


def _check(arguments: argparse.Namespace, around: Surroundings) -> tuple[list[Opened], ExitCode]:
    """Check once; give what was read, and the exit code."""
    opened: list[Opened] = []
    code = ExitCode.DONE
    for said in arguments.rulesets:
        try:
            opened.append(_with_mends(open_ruleset(said)))
        except ShelfError as fault:
            complain(around, str(fault))
            code = ExitCode.COULD_NOT_START
    if arguments.mend:
        from tui.cli.check.mend import mend_file  # noqa: PLC0415 - compares texts, which takes its time

        codes = [mend_file(one, around, yes=arguments.yes, strict=arguments.strict) for one in opened]
        return opened, max(code, *codes) if codes else code
    if arguments.deep:
        from tui.cli.check.deep import all_deepened  # noqa: PLC0415 - what it leads to loads the numbers

        opened, asked = all_deepened(opened, around)
        code = max(code, asked)
    problems = tuple(problem for one in opened for problem in one.problems)
    if arguments.json:
        _tell_json(around, problems)
    elif arguments.sarif:
        from tui.cli.check.sarif import sarif_log  # noqa: PLC0415 - the rarest of the three

        tell_json(around, sarif_log(problems))
    elif opened:
        _tell(around, opened)
    return opened, max(code, _verdict(problems, strict=arguments.strict))


def _with_mends(opened: Opened) -> Opened:
    """Add the changes that take something out, which need the text around it."""
    if not opened.problems:
        return opened
    from kb.mending import with_mends  # noqa: PLC0415 - a sound ruleset needs no mend

    return replace(opened, loaded=replace(opened.loaded, problems=with_mends(opened.loaded)))


def _verdict(problems: Sequence[Problem], *, strict: bool) -> ExitCode:
    failing = any(strict or problem.severity is Severity.ERROR for problem in problems)
    return ExitCode.NO if failing else ExitCode.DONE


def _tell(around: Surroundings, opened: Sequence[Opened]) -> None:
    for one in opened:
        for problem in one.problems:
            lines = problem_lines(problem, one.excerpt(problem.span), around.width, around.fold)
            if around.colour:
                around.stdout.writelines(f"{line}\n" for line in coloured(lines, problem))
            else:
                tell(around, lines)
    problems = [problem for one in opened for problem in one.problems]
    tell(around, hung(summing_line([one.said for one in opened], problems), around.fold))


def _tell_json(around: Surroundings, problems: Sequence[Problem]) -> None:
    errors = sum(problem.severity is Severity.ERROR for problem in problems)
    tell_json(
        around,
        {
            "problems": [_as_json(problem) for problem in problems],
            "errors": errors,
            "warnings": len(problems) - errors,
        },
    )


def _as_json(problem: Problem) -> Json:
    span = problem.span
    return {
        "file": span.file,
        "line": span.line,
        "column": span.column,
        "end_line": span.end_line,
        "end_column": span.end_column,
        "severity": problem.severity.value,
        "check": problem.check,
        "message": problem.message,
        "hint": problem.hint,
        "mend": [
            {
                "line": change.span.line,
                "column": change.span.column,
                "end_line": change.span.end_line,
                "end_column": change.span.end_column,
                "text": change.text,
            }
            for change in problem.mend
        ],
    }
