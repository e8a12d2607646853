"""Drawings and pages as PNG and PDF, by two libraries that are installed only by who wants them.

resvg turns SVG into pixels, WeasyPrint lays HTML out on paper. Both are loaded when a picture is
asked for, and neither may fetch anything: what is printed holds all that it needs.
"""

from collections.abc import Sequence
from html import escape
from math import sqrt
from typing import Final
from xml.etree.ElementTree import Element, tostring

from tui.draw.svg import shown

DENSITY: Final = 192.0
"""Dots to the inch of a PNG: sharp on a screen of twice the usual density, and enough for paper."""
POINTS: Final = 72.0
"""Points to the inch."""
MOST_DOTS: Final = 60e6
"""Dots of the largest PNG; a larger drawing is made coarser."""
NO_PNG: Final = (
    "PNG needs the package resvg-py: install canebrake with its extra `pictures`, "
    "or write SVG, which needs nothing"
)
NO_PDF: Final = (
    "PDF needs the package WeasyPrint and the system's library Pango: install canebrake with its extra "
    "`paper` (on Debian and Ubuntu also: apt install libpangoft2-1.0-0), "
    "or write SVG or HTML, which need nothing, and print that with a browser"
)


class PrintingError(Exception):
    """A picture cannot be made here. Its text is one sentence for the user."""


def png(drawing: Element) -> bytes:
    """Give a drawing as PNG. Raises `PrintingError` where the library is missing."""
    try:
        import resvg_py  # noqa: PLC0415 - an extra, wanted for PNG alone
    except ImportError as missing:
        raise PrintingError(NO_PNG) from missing
    width, height = (float(value) for value in drawing.get("viewBox", "").split()[2:])
    dots = width * height * (DENSITY / POINTS) ** 2
    density = DENSITY * sqrt(min(1.0, MOST_DOTS / max(dots, 1.0)))
    try:
        return bytes(resvg_py.svg_to_bytes(svg_string=tostring(drawing, encoding="unicode"), dpi=density))
    except ValueError as fault:
        raise PrintingError(f"the picture could not be drawn: {fault}") from fault


def pdf_of_pages(pages: Sequence[Element], title: str) -> bytes:
    """Give drawings as a PDF, each on a page of its own size. Raises `PrintingError`."""
    sizes = {
        page.get("viewBox", "").split()[2] + "pt " + page.get("viewBox", "").split()[3] + "pt"
        for page in pages
    }
    size = sizes.pop() if len(sizes) == 1 else "A4"
    style = f"@page{{size:{size};margin:0}}body{{margin:0}}svg{{display:block;break-after:page}}"
    drawings = "".join(
        f'<div style="page:p{number}">{tostring(page, encoding="unicode")}</div>'
        for number, page in enumerate(pages)
    )
    head = f'<meta charset="utf-8"><title>{escape(shown(title))}</title><style>{style}</style>'
    return pdf_of_html(f"<!DOCTYPE html><html lang=en><head>{head}</head><body>{drawings}</body></html>")


def pdf_of_html(page: str) -> bytes:
    """Give a page as PDF. Raises `PrintingError` where the library, or what it stands on, is missing."""
    try:
        import weasyprint  # noqa: PLC0415 - an extra, wanted for PDF alone
        from weasyprint.urls import URLFetcher  # noqa: PLC0415 - the same
    except (ImportError, OSError) as missing:  # OSError: Pango is not there
        raise PrintingError(NO_PDF) from missing

    class Nothing(URLFetcher):  # type: ignore[misc]  # it publishes no types
        """Fetches nothing."""

        def fetch(self, url: str, headers: object = None) -> None:
            """Refuse."""
            del headers
            raise ValueError(f"nothing is fetched from {url}")

    made: bytes = weasyprint.HTML(string=page, url_fetcher=Nothing()).write_pdf()
    return made
