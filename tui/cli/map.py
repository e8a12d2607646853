"""`canebrake map`: the cause-effect map of a ruleset, whole or round one entry."""

import argparse
from pathlib import Path
from typing import Final

from kb.disk import DiskError, write_whole
from kb.graph import Graph, graph_of
from kb.model import Ruleset
from kb.outside import OutsideError, Picture, draw_picture
from kb.rounds import unknown
from tui.cli.parser import WrongUsage
from tui.cli.saying import complain
from tui.exit_code import ExitCode
from tui.shelf import ShelfError, usable_ruleset
from tui.wiring import Surroundings

HELP: Final = "draw what shows, why, and what helps"
FORMATS: Final = ("text", "outline", "dot", "svg", "png", "pdf")
SUFFIXES: Final = {".dot": "dot", ".gv": "dot", ".svg": "svg", ".png": "png", ".pdf": "pdf"}
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
        "--format",
        metavar="FORMAT",
        help=f"{', '.join(FORMATS)}; if not said, by the suffix of FILE, else text",
    )
    parser.add_argument("-o", dest="output", metavar="FILE", help="write to FILE instead of the terminal")


def run(arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
    """Draw the map."""
    form = _by_suffix(arguments.output) if arguments.format is None else arguments.format
    if form not in FORMATS:
        raise WrongUsage(unknown("format", form, FORMATS) + f" (there are {', '.join(FORMATS)})")
    try:
        ruleset = usable_ruleset(arguments.ruleset)
        graph = _part(graph_of(ruleset), arguments.about)
        drawn = _drawn(ruleset, graph, form, arguments, around)
        if arguments.output is not None:
            write_whole(Path(arguments.output), drawn)
            return ExitCode.DONE
    except (ShelfError, OutsideError, DiskError) as fault:
        complain(around, str(fault))
        return ExitCode.COULD_NOT_START
    if form in {Picture.PNG, Picture.PDF}:
        if around.stdout.isatty():
            raise WrongUsage(f"a {form} is no text for a terminal; name a file with -o")
        around.stdout.flush()
        around.stdout.buffer.write(drawn)
    else:
        around.stdout.write(drawn.decode())
    return ExitCode.DONE


def _by_suffix(output: str | None) -> str:
    return "text" if output is None else SUFFIXES.get(Path(output).suffix.lower(), "text")


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
            from tui.draw.outline import draw_outline  # noqa: PLC0415 - one drawing in a run

            lines = draw_outline(ruleset, graph)
        return ("\n".join(lines) + "\n").encode("utf-8", "backslashreplace")
    from tui.draw.dot import draw_dot  # noqa: PLC0415 - the same

    dot = draw_dot(graph)
    if form == "dot":
        return dot.encode()
    return draw_picture(dot, Picture(form), environ=around.environ, scripts=around.scripts_folder)


def _text(graph: Graph, width: int, around: Surroundings, about: str | None) -> tuple[str, ...] | None:
    from tui.draw.literal import literal  # noqa: PLC0415 - the same
    from tui.draw.terminal import LEGEND, draw_map  # noqa: PLC0415 - the same

    count = len(graph.entries)
    drawing = draw_map(graph, width) if count <= MANY else None
    if drawing is None:
        reason = f"{count} entries are too many" if count > MANY else f"{width} columns are too narrow"
        advice = "" if about is not None else "; --about ID draws one entry and all that touches it"
        complain(around, f"{reason} for a drawing, so this is the outline{advice}")
        return None
    return (literal(f"{graph.title} ({graph.ruleset} {graph.version})"), "", *drawing, "", *LEGEND)
