"""Changes to an author's text: a stretch of it and what shall stand there instead.

Apart from `kb.text`, which only looks, and from `kb.edit`, which knows what a change means: a
check that proposes a mend, an edit of an entry and a merge all say what they want in these words,
and everything that they do not name keeps its letters, comments and line ends.
"""

from collections.abc import Iterable
from typing import NamedTuple

from kb.text import Places, Span


class Replacement(NamedTuple):
    """One stretch of a file, and what to write in its place; an empty stretch is a place to insert."""

    span: Span
    text: str


def patched(text: str, replacements: Iterable[Replacement]) -> str:
    r"""Give `text` with every replacement made; all spans are places in the text as it was.

    Raises `ValueError` when two of them touch the same letters, or one lies outside the text. The
    same replacement twice counts once.

    >>> patched("a: 1\nb: 2\n", [Replacement(Span("f", 2, 4, 2, 5), "3")])
    'a: 1\nb: 3\n'
    """
    places = Places.of(text)
    ordered = sorted(set(replacements))
    made: list[str] = []
    done = 0
    for each in ordered:
        begin = places.offset(each.span.line, each.span.column)
        end = places.offset(each.span.end_line, each.span.end_column)
        if begin < done or end < begin:
            raise ValueError(f"{each.span}: two changes touch the same letters")
        made += [text[done:begin], each.text]
        done = end
    return "".join((*made, text[done:]))
