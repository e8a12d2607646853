"""Choosing one of a list by number or by words, and the words of the answers."""

from collections.abc import Callable, Sequence
from typing import Final, TypeVar

from kb.model import Answer
from tui.called import WHOLE, begins, best_first, nearness
from tui.language import worded
from tui.plain.lines import Lines

T = TypeVar("T")

ANSWER_WORDS: Final = {
    "1": Answer.YES,
    "yes": Answer.YES,
    "y": Answer.YES,
    "2": Answer.SLIGHTLY,
    "slightly": Answer.SLIGHTLY,
    "s": Answer.SLIGHTLY,
    "a little": Answer.SLIGHTLY,
    "3": Answer.NO,
    "no": Answer.NO,
    "n": Answer.NO,
    "4": Answer.UNSURE,
    "unsure": Answer.UNSURE,
    "u": Answer.UNSURE,
    "don't know": Answer.UNSURE,
}


def pick(
    lines: Lines,
    offered: Sequence[tuple[str, T]],
    words: str,
    *,
    nothing: str,
    also: Callable[[T], str] = lambda _one: "",
) -> T | None:
    """Let the maker choose one of `offered` (titles and what they stand for); None: never mind.

    `words` narrow the list first: all of them must stand in a title, or, where no title has them, in
    what `also` gives. One left needs no choosing, unless its title does not say the words.
    """
    wanted = words.casefold().split()
    left = best_first(words, offered, _title)
    by_title = bool(left)
    if not by_title:
        left = [pair for pair in offered if _holds(also(pair[1]), wanted)]
    if not left:
        lines.say(nothing)
        return None
    whole = [pair for pair in left if nearness(words, pair[0]) == WHOLE] if wanted else []
    if wanted and by_title and (len(left) == 1 or len(whole) == 1):
        return left[0][1]
    lines.say(*(f"{number} {title}" for number, (title, _) in enumerate(left, 1)))
    while True:
        line = lines.ask(worded("A number, words of the title, or nothing for never mind"))
        if not line or line.casefold() in {"back", "0", "never mind"}:
            return None
        # A number is a number: one past the end must not choose a title in which it happens to stand.
        if line.isascii() and line.isdigit():
            if len(line) < 6 and 1 <= int(line) <= len(left):
                return left[int(line) - 1][1]
        else:
            narrowed = best_first(line, left, _title)
            if len(narrowed) == 1:
                return narrowed[0][1]
            if narrowed:
                left = narrowed
                lines.say(*(f"{number} {title}" for number, (title, _) in enumerate(left, 1)))
                continue
        lines.say(worded("Type a number from 1 to {count}.", count=len(left)))


def _title(pair: tuple[str, object]) -> str:
    return pair[0]


def is_named(title: str, line: str) -> bool:
    """Whether each word of a typed line begins a word of a title; an answer names nothing.

    >>> is_named("The crow is muffled", "crow muff"), is_named("Good yesterday, dead today", "yes")
    (True, False)
    """
    typed = line.casefold().split()
    if line.casefold() in ANSWER_WORDS or not any(len(word) > 2 for word in typed):
        return False
    return begins(typed, title.casefold())


def _holds(text: str, words: Sequence[str]) -> bool:
    folded = text.casefold()
    return all(word in folded for word in words)
