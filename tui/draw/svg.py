"""SVG as a tree of elements: our own shapes, and text that can be nothing but text.

The tree is written out by the standard library, which escapes every text and every value, so no
title can become an element or an attribute. Colours stand as attributes, since every program that
draws SVG knows those; the class beside them lets a page recolour the same drawing in the dark. A
drawing names nothing outside itself: no font file, no link, no script, no style sheet.
"""

import re
from collections.abc import Sequence
from typing import Final
from xml.etree.ElementTree import Element, SubElement, tostring

from tui.draw.cells import cells
from tui.draw.literal import literal
from tui.draw.palette import INK, WHITE

NAMESPACE: Final = "http://www.w3.org/2000/svg"
FONTS: Final = "system-ui, 'DejaVu Sans', 'Noto Sans', sans-serif"
LETTER: Final = 0.6
"""Width of a letter's cell in font sizes, on the generous side: which font will be there is not known."""
_NOT_XML: Final = re.compile("[\ufffe\uffff]")

Value = str | float
Point = tuple[float, float]


def shown(text: str) -> str:
    """Give text of a ruleset or a log so that it can stand in an XML file, literally."""
    return _NOT_XML.sub("\ufffd", literal(text))


def begin(width: float, height: float, label: str, *, unit: str = "") -> Element:
    """Begin a drawing of `width` × `height` units; `label` says in words what it shows."""
    return Element(
        "svg",
        {
            "xmlns": NAMESPACE,
            "width": _number(width) + unit,
            "height": _number(height) + unit,
            "viewBox": f"0 0 {_number(width)} {_number(height)}",
            "role": "img",
            "aria-label": shown(label),
            "font-family": FONTS,
        },
    )


def add(parent: Element, tag: str, text: str = "", /, **values: Value) -> Element:
    """Add an element; `stroke_width=2` is written stroke-width, `class_` class."""
    written = {
        name.rstrip("_").replace("_", "-"): _number(value) if isinstance(value, int | float) else shown(value)
        for name, value in values.items()
    }
    element = SubElement(parent, tag, written)
    if text:
        element.text = shown(text)
    return element


def add_text(parent: Element, at: Point, text: str, size: float, /, **values: Value) -> Element:
    """Add a line of text that begins at `at`, on its base line."""
    look: dict[str, Value] = {"fill": INK, "class_": "ink", **values}
    return add(parent, "text", text, x=at[0], y=at[1], font_size=size, **look)


def add_paper(parent: Element, width: float, height: float) -> None:
    """Lay white paper under a drawing that stands alone."""
    add(parent, "rect", width=width, height=height, fill=WHITE, class_="paper")


def points(shape: Sequence[Point]) -> str:
    """Write the corners of a polygon."""
    return " ".join(f"{_number(x)},{_number(y)}" for x, y in shape)


def path(*parts: str | float) -> str:
    """Write the way of a pen: letters and numbers of SVG's own.

    >>> path("M", 0, 0, "L", 2.0, 1.25)
    'M 0 0 L 2 1.25'
    """
    return " ".join(part if isinstance(part, str) else _number(part) for part in parts)


def text_width(text: str, size: float) -> float:
    """Give about how wide a line of text is, rather too much than too little."""
    return cells(text) * size * LETTER


def written(drawing: Element) -> str:
    """Give the drawing as the text of an SVG file."""
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + tostring(drawing, encoding="unicode") + "\n"


def _number(value: float) -> str:
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in {"", "-0"} else text
