"""`canebrake zones`: the reed that a ruleset draws, zone by zone, with quarters, wires and opening."""

import argparse
from collections.abc import Iterator
from typing import Final

from kb.disk import DiskError
from kb.model import Quantity, Ruleset
from tui.cli.parser import WrongUsage
from tui.cli.pictures import PICTURES, add_picture_options, form_asked, put, put_pictures
from tui.cli.saying import complain
from tui.draw.printing import PrintingError
from tui.exit_code import ExitCode
from tui.shelf import ShelfError, ready_ruleset
from tui.wiring import Surroundings

HELP: Final = "draw the reed with its zones, quarters, wires and opening"
FORMATS: Final = ("text", "svg", "png", "pdf")
FILE_WIDTH: Final = 100
COLUMNS: Final = 12
ROWS: Final = 14
EACH: Final = 20
"""Cells from one zone to the next."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.add_argument("ruleset", metavar="RULESET", help="a file, or the id of an installed ruleset")
    add_picture_options(parser, FORMATS, pages=False)


def run(arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
    """Draw the reed."""
    from tui.draw.zones_svg import draw_zones  # noqa: PLC0415 - not for --help
    from tui.handout.reference import OPENING, tip_width  # noqa: PLC0415 - the same

    form = form_asked(arguments, FORMATS, [arguments.ruleset], around)
    try:
        ruleset = ready_ruleset(arguments.ruleset).ruleset
        opening = next((one for one in ruleset.quantities if one.id == OPENING), None)
        sheet = draw_zones(ruleset, opening, tip_width(ruleset))
        if sheet is None:
            raise WrongUsage(f"{arguments.ruleset} draws no reed: none of its zones has a polygon")
        if form in PICTURES:
            return put_pictures((sheet,), ruleset.title, form, arguments.output, around)
        width = around.width if arguments.output is None else FILE_WIDTH
        lines = "".join(f"{line}\n" for line in _lines(ruleset, opening, tip_width(ruleset), width))
        return put(lines.encode("utf-8", "backslashreplace"), form, arguments.output, around)
    except (ShelfError, DiskError, PrintingError) as fault:
        complain(around, str(fault))
        return ExitCode.COULD_NOT_START


def _lines(ruleset: Ruleset, opening: Quantity | None, tip: float, width: int) -> Iterator[str]:
    from tui.draw.blade import draw_reed  # noqa: PLC0415 - the drawing that is asked for
    from tui.draw.literal import literal  # noqa: PLC0415 - the same
    from tui.draw.reed_text import beside, opening_drawn, quarters_drawn, wires_drawn  # noqa: PLC0415 - the same

    yield literal(f"{ruleset.title} ({ruleset.id} {ruleset.version})")
    yield "As the maker sees the reed: the tip away, left on the left."
    yield ""
    blocks = []
    for zone in ruleset.zones:
        drawing = draw_reed(ruleset.zones, zone.id, COLUMNS, ROWS)
        if drawing is not None:
            blocks.append((drawing.text().split("\n"), zone.title))
    yield from beside(blocks, width, EACH)
    if ruleset.blades > 1:
        yield "The four quarters:"
        yield from quarters_drawn()
    if any(zone.wire is not None for zone in ruleset.zones):
        yield ""
        yield "A wire seen from the end:"
        yield from wires_drawn()
    if opening is not None:
        yield ""
        yield literal(f"{opening.title}, from the front:")
        yield from opening_drawn(opening, None, tip, min(width, 60))
