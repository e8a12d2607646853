"""`canebrake tree`: the computed decision tree from a case, or a teacher's chart with its price."""

import argparse
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from kb.disk import DiskError
from kb.model import Answer, GivenRound, Ruleset
from kb.rounds import unknown
from tui.cli.parser import WrongUsage
from tui.cli.pictures import add_picture_options, form_asked, laid_out, put, put_pictures
from tui.cli.progress import Progress
from tui.cli.saying import complain, tell
from tui.cli.weigh import add_case_arguments, rounds_told
from tui.draw.printing import PrintingError
from tui.exit_code import ExitCode
from tui.shelf import ShelfError, usable_ruleset
from tui.wiring import Surroundings

if TYPE_CHECKING:
    from tui.cli.tree.report import Asked

HELP: Final = "draw the steps that advice takes as a tree, or a teacher's chart with its price"
FORMATS: Final = ("text", "outline", "dot", "svg", "png", "pdf", "json")
FILE_WIDTH: Final = 100
"""Cells of a line that goes to a file, whatever the terminal at hand."""
MOST_STEPS: Final = 1000
LEAST_CHANCE: Final = 0.0001


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.add_argument("ruleset", metavar="RULESET", help="a file, or the id of an installed ruleset")
    parser.add_argument(
        "--chart", metavar="ID", help="this chart of the ruleset, priced, beside the engine's tree"
    )
    add_case_arguments(parser)
    parser.add_argument(
        "--clear",
        metavar="PRIORITY",
        action="append",
        default=[],
        help="all is well with this priority: as if each of its symptoms had been answered no",
    )
    parser.add_argument(
        "--whole",
        action="store_true",
        help="go on through all priorities, not only until the trouble at hand is gone",
    )
    parser.add_argument("--least", metavar="CHANCE", help="cut off what fewer reeds than this come to (0.02)")
    parser.add_argument("--steps", metavar="N", help="steps on one way at most (40)")
    add_picture_options(parser, FORMATS)


def run(arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
    """Compute and draw."""
    form = form_asked(arguments, FORMATS, [arguments.ruleset, arguments.rounds], around)
    try:
        ruleset = usable_ruleset(arguments.ruleset)
        asked = _asked(ruleset, arguments, form)
        return _computed(asked, arguments, around)
    except (ShelfError, PrintingError, DiskError) as fault:
        complain(around, str(fault))
        return ExitCode.COULD_NOT_START


def _asked(ruleset: Ruleset, arguments: argparse.Namespace, form: str) -> "Asked":
    from engine.tree import Limits  # noqa: PLC0415 - loads the numbers, which a wrong usage does not need
    from tui.cli.tree.report import Asked  # noqa: PLC0415 - the same

    chart = next((one for one in ruleset.charts if one.id == arguments.chart), None)
    if arguments.chart is not None and chart is None:
        there = [one.id for one in ruleset.charts]
        known = f" (there are {', '.join(there)})" if there else " (this ruleset has none)"
        raise WrongUsage(unknown("chart", arguments.chart, there) + known)
    rounds = _cleared(ruleset, rounds_told(ruleset, arguments), arguments.clear)
    limits = replace(Limits(), whole=arguments.whole)
    if arguments.least is not None:
        limits = replace(limits, least_chance=_chance(arguments.least))
    if arguments.steps is not None:
        limits = replace(limits, longest=_steps(arguments.steps))
    return Asked(ruleset, rounds, chart, form, limits)


def _cleared(
    ruleset: Ruleset, rounds: tuple[GivenRound, ...], priorities: list[str]
) -> tuple[GivenRound, ...]:
    """Answer no for every symptom of `priorities` that has no answer in the present round."""
    known = {str(one.id): one for one in ruleset.priorities}
    *earlier, present = rounds
    given = dict(present.given)
    for said in priorities:
        if said not in known:
            raise WrongUsage(unknown("priority", said, list(known)))
        for finding in ruleset.of_priority(known[said].id):
            given.setdefault(finding.id, Answer.NO)
    return (*earlier, replace(present, given=tuple(given.items())))


def _chance(text: str) -> float:
    try:
        chance = float(text) if "_" not in text else -1.0
    except ValueError:
        chance = -1.0
    if not LEAST_CHANCE <= chance <= 1.0:
        raise WrongUsage(f"--least takes a chance from {LEAST_CHANCE} to 1, not {text!r}")
    return chance


def _steps(text: str) -> int:
    if not (text.isascii() and text.isdigit() and 1 <= int(text[:6]) <= MOST_STEPS):
        raise WrongUsage(f"--steps takes a whole number from 1 to {MOST_STEPS}, not {text!r}")
    return int(text)


def _computed(asked: "Asked", arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
    from engine.ahead import Ahead  # noqa: PLC0415 - see above
    from engine.case import case_of_rounds  # noqa: PLC0415 - the same
    from engine.refusal import TooWideError  # noqa: PLC0415 - the same
    from tui.cli.tree.report import drawn_as  # noqa: PLC0415 - the same

    output: str | None = arguments.output
    progress = Progress(around)
    ahead, case = Ahead(asked.ruleset), case_of_rounds(asked.ruleset, asked.rounds)
    try:
        advice = ahead.advice(case)
        if advice.step is None:
            from tui.cli.weigh.weighed import disagreement_lines  # noqa: PLC0415 - only this case needs it

            tell(around, disagreement_lines(asked.ruleset, advice, len(asked.rounds)))
            return ExitCode.NO
        width = around.width if output is None else FILE_WIDTH
        drawing = drawn_as(asked, ahead, case, width, progress.say)
    except TooWideError as refusal:
        complain(around, str(refusal))
        return ExitCode.NO
    finally:
        progress.wipe()
    if isinstance(drawing, str):
        return put(drawing.encode("utf-8", "backslashreplace"), asked.form, output, around)
    from tui.draw.steps_svg import draw_step_pages, draw_step_sheet  # noqa: PLC0415 - one drawing in a run

    pages = laid_out(
        lambda: draw_step_pages(drawing),
        lambda: draw_step_sheet(drawing),
        asked.form,
        on_sheet=arguments.sheet,
    )
    return put_pictures(pages, drawing.title, asked.form, output, around)
