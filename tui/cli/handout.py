"""`canebrake handout`: one page for the wall or the phone, of a ruleset, of one symptom, or of one reed."""

import argparse
from pathlib import Path
from typing import Final

from kb.disk import DiskError, write_whole
from kb.log.fault import LogError
from kb.model import Ruleset
from kb.rounds import unknown
from tui.cli.parser import WrongUsage
from tui.cli.saying import complain
from tui.exit_code import ExitCode
from tui.shelf import ShelfError, ready_ruleset
from tui.wiring import Surroundings

HELP: Final = "write one page for the wall or the phone, as HTML or PDF"
SUFFIXES: Final = (".html", ".htm", ".pdf")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.add_argument("ruleset", metavar="RULESET", help="a file, or the id of an installed ruleset")
    parser.add_argument(
        "-o",
        dest="output",
        metavar="FILE",
        required=True,
        help="where to: FILE.html (one file that needs nothing else) or FILE.pdf",
    )
    only = parser.add_mutually_exclusive_group()
    only.add_argument(
        "--about", metavar="ID", help="only this finding, cause, remedy or rest and all that bears on it"
    )
    only.add_argument(
        "--reed",
        metavar="NAME",
        help="this reed of your log: what was found, done and measured, and where it is",
    )


def run(arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
    """Write the page."""
    from tui.draw.printing import PrintingError, pdf_of_html  # noqa: PLC0415 - not for --help

    path = Path(arguments.output)
    if path.suffix.lower() not in SUFFIXES:
        raise WrongUsage(f"a handout is written as FILE.html or FILE.pdf, not as {path.name!r}")
    try:
        ruleset = ready_ruleset(arguments.ruleset).ruleset
        page = _page(ruleset, arguments, around)
        is_pdf = path.suffix.lower() == ".pdf"
        if is_pdf and around.is_terminal:
            complain(around, "laying the pages out; a large ruleset takes some ten seconds")
        write_whole(path, pdf_of_html(page) if is_pdf else page.encode())
    except (ShelfError, DiskError, LogError, PrintingError) as fault:
        complain(around, str(fault))
        return ExitCode.COULD_NOT_START
    return ExitCode.DONE


def _page(ruleset: Ruleset, arguments: argparse.Namespace, around: Surroundings) -> str:
    from kb.graph import graph_of  # noqa: PLC0415 - the same
    from kb.settings import read_settings  # noqa: PLC0415 - the same
    from tui.handout.page import handout, reed_page  # noqa: PLC0415 - the same
    from tui.handout.scope import about, of_causes, whole  # noqa: PLC0415 - the same

    length = read_settings(around.config_folder).units
    if arguments.reed is not None:
        from tui.cli.of_reed import take_up  # noqa: PLC0415 - loads the engine's tables and the log
        from tui.handout.history import ReedStory, likely  # noqa: PLC0415 - the same

        reed = take_up(arguments.reed, ruleset, around)
        scope = of_causes(ruleset, likely(reed.belief))
        return reed_page(scope, ReedStory(reed.history, reed.entries, reed.belief), reed.known, length)
    if arguments.about is None:
        return handout(whole(ruleset), length)
    part = about(ruleset, arguments.about)
    if part is None:
        known = [entry.id for entry in graph_of(ruleset).entries]
        raise WrongUsage(unknown("finding, cause, remedy or rest", arguments.about, known))
    return handout(part, length)
