"""Where drawings go that a command has made: into one file, into one file a page, or to the next program."""

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Final
from xml.etree.ElementTree import Element

from kb.disk import write_whole
from kb.rounds import unknown
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


def form_of(said: str | None, output: str | None, forms: Sequence[str]) -> str:
    """Give the format: as said, else by the suffix of the file, else text. Raises `WrongUsage`."""
    suffix = "" if output is None else Path(output).suffix.lower()
    form = SUFFIXES.get(suffix, "text") if said is None else said
    if form not in forms:
        raise WrongUsage(unknown("format", form, forms) + f" (there are {', '.join(forms)})")
    return form


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
        refuse_terminal(form, around)
        around.stdout.flush()
        around.stdout.buffer.write(content)
    else:
        around.stdout.write(content.decode())
    return ExitCode.DONE


def refuse_terminal(form: str, around: Surroundings) -> None:
    """Refuse to write what is no text to a terminal. Raises `WrongUsage`."""
    if form in BINARY and around.stdout.isatty():
        raise WrongUsage(f"a {form} is no text for a terminal; name a file with -o")


def _svg(page: Element) -> bytes:
    return written(page).encode()


def _numbered(path: Path, number: int, count: int) -> Path:
    return path.with_name(f"{path.stem}-{number:0{len(str(count))}}{path.suffix}")
