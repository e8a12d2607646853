"""Drawings that a command makes: which are asked for, and where they go.

Into one file, into one file a page, or to the next program.
"""

import argparse
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from typing import Final
from xml.etree.ElementTree import Element

from kb.disk import write_whole
from kb.rounds import unknown
from tui.cli.outputs import add_output, allow
from tui.cli.parser import WrongUsage
from tui.cli.saying import complain
from tui.draw.printing import pdf_of_pages, png
from tui.draw.svg import written
from tui.exit_code import ExitCode
from tui.wiring import Surroundings

SUFFIXES: Final[Mapping[str, str]] = {
    ".dot": "dot",
    ".gv": "dot",
    ".svg": "svg",
    ".png": "png",
    ".pdf": "pdf",
    ".json": "json",
}
PICTURES: Final = frozenset({"svg", "png", "pdf"})
BINARY: Final = frozenset({"png", "pdf"})


def add_picture_options(parser: argparse.ArgumentParser, forms: Sequence[str], *, pages: bool = True) -> None:
    """Declare the format and where the drawing goes; with `pages`, that it may stand on one sheet."""
    parser.add_argument(
        "--format",
        metavar="FORMAT",
        help=f"{', '.join(forms)}; if not said, by the suffix of FILE, else text",
    )
    if pages:
        parser.add_argument(
            "--sheet",
            action="store_true",
            help="a picture on one sheet, however large, and not on pages of A4",
        )
    add_output(parser)


def form_asked(
    arguments: argparse.Namespace, forms: Sequence[str], made_from: Iterable[str | None], around: Surroundings
) -> str:
    """Give the format: as said, else by the suffix of the file, else text.

    Raises `WrongUsage` where there is no such format, or where it must not be written to.
    """
    output: str | None = arguments.output
    suffix = "" if output is None else Path(output).suffix.lower()
    form: str = SUFFIXES.get(suffix, "text") if arguments.format is None else arguments.format
    if form not in forms:
        raise WrongUsage(unknown("format", form, forms) + f" (there are {', '.join(forms)})")
    if output is None:
        _refuse_terminal(form, around)
    allow(output, form, made_from, force=arguments.force)
    return form


def laid_out(
    pages: Callable[[], tuple[Element, ...]], sheet: Callable[[], Element], form: str, *, on_sheet: bool
) -> tuple[Element, ...]:
    """Draw pages of A4, or one sheet where that was asked for."""
    drawn = () if on_sheet else pages()
    if len(drawn) < 2 and (on_sheet or form != "pdf"):
        # A picture that one page holds needs no empty paper below it.
        return (sheet(),)
    return drawn


def put_pictures(
    pages: Sequence[Element], title: str, form: str, output: str | None, around: Surroundings
) -> ExitCode:
    """Write pages as SVG, PNG or PDF. Raises DiskError, PrintingError and `WrongUsage`."""
    if form == "pdf":
        return put(pdf_of_pages(pages, title), form, output, around)
    make: Callable[[Element], bytes] = png if form == "png" else _svg
    if len(pages) == 1:
        return put(make(pages[0]), form, output, around)
    if output is None:
        raise WrongUsage(
            f"this takes {len(pages)} pages: name a file with -o, and each page gets one, "
            "or draw all on one sheet with --sheet"
        )
    paths = [_numbered(Path(output), number, len(pages)) for number in range(1, len(pages) + 1)]
    for path, page in zip(paths, pages, strict=True):
        write_whole(path, make(page))
    complain(around, f"{len(pages)} pages, from {paths[0]} to {paths[-1]}")
    return ExitCode.DONE


def put(content: bytes, form: str, output: str | None, around: Surroundings) -> ExitCode:
    """Write what was made to a file, or to standard output. Raises DiskError and `WrongUsage`."""
    if output is not None:
        write_whole(Path(output), content)
    elif form in BINARY:
        _refuse_terminal(form, around)
        around.stdout.flush()
        around.stdout.buffer.write(content)
    else:
        around.stdout.write(content.decode())
    return ExitCode.DONE


def _refuse_terminal(form: str, around: Surroundings) -> None:
    """Refuse to write what is no text to a terminal. Raises `WrongUsage`."""
    if form in BINARY and around.stdout.isatty():
        raise WrongUsage(f"a {form} is no text for a terminal; name a file with -o")


def _svg(page: Element) -> bytes:
    return written(page).encode()


def _numbered(path: Path, number: int, count: int) -> Path:
    return path.with_name(f"{path.stem}-{number:0{len(str(count))}}{path.suffix}")
