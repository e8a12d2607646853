"""`canebrake map`: the cause-effect map of a ruleset, whole or round one entry, or of what one reed has."""

import argparse
import sys
from typing import TYPE_CHECKING, Final

from kb.disk import DiskError
from kb.graph import Graph, graph_of
from kb.log.fault import LogError
from kb.model import Ruleset
from kb.rounds import unknown
from tui.cli.parser import WrongUsage
from tui.cli.pictures import PICTURES, add_picture_options, form_asked, laid_out, put, put_pictures
from tui.cli.saying import complain
from tui.draw.printing import PrintingError
from tui.exit_code import ExitCode
from tui.language import worded
from tui.shelf import ShelfError, ready_ruleset
from tui.wiring import Surroundings

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

    from tui.draw.known import Known  # loads the engine, which a map of rules alone does not need

HELP: Final = "draw what shows, why, and what helps"
FORMATS: Final = ("text", "outline", "dot", "svg", "png", "pdf")
MANY: Final = 50
"""Entries past which a drawing in characters is no longer read but puzzled over."""
FILE_WIDTH: Final = 120
"""Cells of a drawing that goes to a file, whatever the terminal at hand."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.add_argument("ruleset", metavar="RULESET", help="a file, or the id of an installed ruleset")
    parser.add_argument(
        "--about", metavar="ID", help="only this finding, cause, remedy or rest and all that touches it"
    )
    parser.add_argument(
        "--reed", metavar="NAME", help="coloured by what is known of this reed of your log, and said in words"
    )
    add_picture_options(parser, FORMATS)


def run(arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
    """Draw the map."""
    form = form_asked(arguments, FORMATS, [arguments.ruleset], around)
    try:
        ruleset = ready_ruleset(arguments.ruleset).ruleset
        graph = _part(graph_of(ruleset), arguments.about)
        known = None if arguments.reed is None else _known(arguments.reed, ruleset, around)
        if form in PICTURES:
            pages = _pages(ruleset, graph, known, form, arguments)
            return put_pictures(pages, graph.title, form, arguments.output, around)
        drawn = _drawn(ruleset, graph if known is None else known.told_on(graph), form, arguments, around)
        return put(drawn, form, arguments.output, around)
    except (ShelfError, PrintingError, DiskError, LogError) as fault:
        complain(around, str(fault))
        return ExitCode.COULD_NOT_START


def _known(name: str, ruleset: Ruleset, around: Surroundings) -> "Known":
    from tui.cli.of_reed import take_up  # noqa: PLC0415 - loads the engine and the log

    return take_up(name, ruleset, around).known


def _pages(
    ruleset: Ruleset, graph: Graph, known: "Known | None", form: str, arguments: argparse.Namespace
) -> "tuple[Element, ...]":
    from tui.draw.map_svg import draw_pages, draw_sheet  # noqa: PLC0415 - one drawing in a run

    about = None if arguments.about is None else graph.entry(arguments.about)
    part = "" if about is None else f"About: {about.title}"
    return laid_out(
        lambda: draw_pages(graph, ruleset, known, part),
        lambda: draw_sheet(graph, known, part),
        form,
        on_sheet=arguments.sheet,
    )


def _part(graph: Graph, about: str | None) -> Graph:
    if about is None:
        return graph
    if graph.entry(about) is None:
        raise WrongUsage(unknown("finding, cause, remedy or rest", about, [one.id for one in graph.entries]))
    return graph.about(about)


def _drawn(
    ruleset: Ruleset, graph: Graph, form: str, arguments: argparse.Namespace, around: Surroundings
) -> bytes:
    if form in {"text", "outline"}:
        width = around.width if arguments.output is None else FILE_WIDTH
        lines = None if form == "outline" else _text(graph, width, around, arguments.about)
        if lines is None:
            from tui.draw.cells import hung  # noqa: PLC0415 - one drawing in a run
            from tui.draw.outline import draw_outline  # noqa: PLC0415 - one drawing in a run

            fold = around.fold if arguments.output is None else sys.maxsize
            lines = tuple(part for line in draw_outline(ruleset, graph) for part in hung(line, fold))
        return ("\n".join(lines) + "\n").encode("utf-8", "backslashreplace")
    from tui.draw.dot import draw_dot  # noqa: PLC0415 - the same

    return draw_dot(graph).encode()


def _text(graph: Graph, width: int, around: Surroundings, about: str | None) -> tuple[str, ...] | None:
    from tui.draw.cells import hung  # noqa: PLC0415 - one drawing in a run
    from tui.draw.literal import literal  # noqa: PLC0415 - the same
    from tui.draw.terminal import LEGEND, draw_map  # noqa: PLC0415 - the same

    count = len(graph.entries)
    drawing = draw_map(graph, width) if count <= MANY else None
    if drawing is None:
        reason = f"{count} entries are too many" if count > MANY else f"{width} columns are too narrow"
        advice = "" if about is not None else "; --about ID draws one entry and all that touches it"
        complain(around, f"{reason} for a drawing, so this is the outline{advice}")
        return None
    head = hung(literal(f"{graph.title} ({graph.ruleset} {graph.version})"), width)
    return (*head, "", *drawing, "", *(part for line in LEGEND for part in hung(worded(line), width)))
