"""Widths in screen cells: how much room a text takes, and making it fit.

A letter is not a cell: `é` may be two characters in one cell, `竹` is one character in two. The
wcwidth package knows; it is imported only for text that is not plain ASCII.
"""

from typing import Final

from tui.draw.literal import literal

CUT: Final = "…"
"""Stands where text was left out."""


def cells(text: str) -> int:
    r"""Give the cells that `text`, already literal, takes on a line.

    >>> cells("reed"), cells("e\u0301"), cells("竹")
    (4, 1, 2)
    """
    if text.isascii():
        return len(text)
    from wcwidth import wcswidth  # noqa: PLC0415 - most lines are ASCII and need no table

    width = wcswidth(text)
    return int(width) if width >= 0 else len(text)


def padded(text: str, width: int, fill: str = " ") -> str:
    """Fill `text` up to `width` cells; longer text stays as it is."""
    return text + fill * (width - cells(text))


def fitted(text: str, width: int) -> str:
    """Cut `text` to at most `width` cells, with … where something is missing.

    >>> fitted("blade", 4)
    'bla…'
    """
    if cells(text) <= width:
        return text
    return _head(text, width - 1) + CUT if width > 0 else ""


def wrapped(text: str, width: int, most: int) -> tuple[str, ...]:
    """Break `text` at spaces into at most `most` lines of `width` cells; … ends what does not fit.

    >>> wrapped("the tip is too thick", 10, 2)
    ('the tip is', 'too thick')
    """
    lines = [""]
    words = literal(text).split()
    for number, word in enumerate(words):
        longer = f"{lines[-1]} {word}" if lines[-1] else word
        if cells(longer) <= width:
            lines[-1] = longer
        elif len(lines) < most and lines[-1]:
            lines.append(word)
        elif len(lines) == most:
            lines[-1] = fitted(" ".join(filter(None, [lines[-1], *words[number:]])), width)
            break
        else:
            lines[-1] = word
        while cells(lines[-1]) > width:
            if len(lines) == most:
                lines[-1] = fitted(lines[-1], width)
                break
            head = _head(lines[-1], width)
            lines[-1:] = [head, lines[-1][len(head) :]]
    return tuple(lines)


def hung(line: str, width: int, deeper: int = 2) -> tuple[str, ...]:
    """Break a line of words that is too long; what goes on is indented `deeper` than the line is.

    >>> hung("  reed: the tip is too thick", 18)
    ('  reed: the tip', '    is too thick')
    """
    if cells(line) <= width:
        return (line,)
    words = line.strip()
    indent = len(line) - len(line.lstrip())
    before = " " * indent
    room = max(width - indent - deeper, LEAST)
    first, *rest = wrapped(words, room, len(words))
    return (before + first, *(f"{before}{' ' * deeper}{one}" for one in rest))


LEAST: Final = 8
"""Cells of the narrowest column of words."""


def _head(text: str, width: int) -> str:
    """Give the longest beginning that takes at most `width` cells, marks on its last letter included."""
    end = 0
    for length in range(1, len(text) + 1):
        if cells(text[:length]) > width:
            break
        end = length
    return text[:end]
