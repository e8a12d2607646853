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


def between(name: str, before: str, after: str) -> Replacement:
    r"""Give the one stretch of `before` that is written anew in `after`; the file is called `name`.

    >>> between("f", "a: 1\nb: 2\n", "a: 1\nb: 3\n")
    Replacement(span=Span(file='f', line=2, column=4, end_line=2, end_column=5), text='3')
    """
    most = min(len(before), len(after))
    begin = next((at for at in range(most) if before[at] != after[at]), most)
    end = next((at for at in range(most - begin) if before[-1 - at] != after[-1 - at]), most - begin)
    span = Places.of(before).span(name, begin, len(before) - end)
    return Replacement(span, after[begin : len(after) - end])


def over(span: Span, text: str) -> tuple[Replacement, ...]:
    """Give the one change that writes `text` over `span`; of no text, none."""
    return (Replacement(span, text),) if text else ()


def quoted(span: Span) -> tuple[Replacement, ...]:
    """Give the changes that put what stands at `span` between quotes."""
    begin = span._replace(end_line=span.line, end_column=span.column)
    end = span._replace(line=span.end_line, column=span.end_column)
    return (Replacement(begin, "'"), Replacement(end, "'"))
