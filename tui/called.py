"""How well what was typed calls a line of a list, so that the best comes first."""

from collections.abc import Callable, Iterable
from typing import Final, TypeVar

T = TypeVar("T")
WHOLE: Final = 0
"""What was typed stands in the title as it is, from the beginning of a word."""


def nearness(typed: str, title: str, besides: str = "") -> int | None:
    """Say how near a line is to what was typed, 0 being the nearest; None when a word of it is missing.

    The whole of it in the title; then each word beginning one of the title's; then within them; then
    with the help of what else can be searched.

    >>> nearness("hard to blow", "The reed is hard to blow")
    0
    >>> nearness("hard to blow", "It jumps to one pitch when blown harder")
    2
    >>> nearness("wire 1 firm", "Slide the blades back", "make wire 1 firm again"), nearness("x", "y")
    (3, None)
    """
    parts = typed.casefold().split()
    said = title.casefold()
    if f" {' '.join(parts)}" in f" {said}":
        return WHOLE
    if begins(parts, said):
        return 1
    if all(part in said for part in parts):
        return 2
    return 3 if all(part in f"{said} {besides.casefold()}" for part in parts) else None


def begins(parts: Iterable[str], said: str) -> bool:
    """Whether each of `parts` begins a word of what is said; both in small letters."""
    words = said.split()
    return all(any(word.startswith(part) for word in words) for part in parts)


def best_first(
    typed: str,
    offered: Iterable[T],
    title: Callable[[T], str],
    besides: Callable[[T], str] = lambda _one: "",
) -> list[T]:
    """Give those of `offered` that hold every word typed, the nearest first; equals stay as they were.

    >>> best_first("firm", ["Lift it off", "Affirm it", "Make it firm"], str)
    ['Make it firm', 'Affirm it']
    """
    near = [(nearness(typed, title(one), besides(one)), one) for one in offered]
    held = [(how, one) for how, one in near if how is not None]
    return [one for _, one in sorted(held, key=lambda pair: pair[0])]
