"""How well what was typed calls a line of a list, so that the best comes first."""

from collections.abc import Iterable
from typing import Final

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
    if _all_begin(parts, said.split()):
        return 1
    if all(part in said for part in parts):
        return 2
    return 3 if all(part in f"{said} {besides.casefold()}" for part in parts) else None


def _all_begin(parts: Iterable[str], words: list[str]) -> bool:
    return all(any(word.startswith(part) for word in words) for part in parts)
