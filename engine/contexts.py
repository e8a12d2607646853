"""Contexts: what might have been done and seen before a sequence of operations begins.

Apart from the sequences because a context is no chance of one future: that a symptom showed is the
chance of everything, less that of futures in which it did not. So each becomes a signed sum of terms.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engine.sweep import Floats, Ints

Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Context:
    """What might have been done and seen before a sequence begins."""

    failed: tuple[int, ...] = ()
    """Columns of operations that were done, after each of which some symptom still showed."""
    asked: tuple[tuple[int, int, bool], ...] = ()
    """Watched findings as bits, after how many of `failed` they were asked, whether any of them showed."""
    done: int = 0
    """Options, as bits, that have been done already."""
    allowed: int = -1
    """Options, as bits, that may be used."""


@dataclass(frozen=True, slots=True)
class Terms:
    """Contexts as signed sums of futures: what showed is all, less what did not. One row a term."""

    context: Ints
    """The number of the context; terms come context by context."""
    sign: Floats
    operations: Ints
    """Columns of what is done, one after the other; 0 where nothing is."""
    clear: Ints
    """Watched findings, as bits, that do not show at first and after each operation."""

    def with_last(self, aim: int) -> Ints:
        """Give `clear` with `aim` gone at the end as well."""
        clear = self.clear.copy()
        clear[:, -1] |= aim
        return clear

    def extended(self, columns: Ints, going_on: Flags) -> "Terms":
        """Give the terms with one more operation each (none where the context has ended)."""
        step = np.where(going_on, columns, 0)[self.context]
        nothing = np.zeros((len(self.clear), 1), dtype=np.int64)
        return Terms(
            self.context,
            self.sign,
            np.hstack([self.operations, step[:, None]]),
            np.hstack([self.clear, nothing]),
        )


def terms_of(contexts: Sequence[Context], all_bits: int) -> Terms:
    """Give `contexts` as terms; after each operation that failed some of `all_bits` still showed."""
    length = max((len(context.failed) for context in contexts), default=0)
    numbers, signs, operations, clears = [], [], [], []
    for number, context in enumerate(contexts):
        found: list[tuple[float, list[int]]] = [(1.0, [0] * (length + 1))]
        for findings, when, shows in context.asked:
            found = _split(found, when, findings, is_clear=not shows)
        for when in range(1, len(context.failed) + 1):
            found = _split(found, when, all_bits, is_clear=False)
        for sign, clear in found:
            numbers.append(number)
            signs.append(sign)
            operations.append([*context.failed, *[0] * (length - len(context.failed))])
            clears.append(clear)
    return Terms(
        np.array(numbers, dtype=np.int64),
        np.array(signs),
        np.array(operations, dtype=np.int64).reshape(len(numbers), length),
        np.array(clears, dtype=np.int64).reshape(len(numbers), length + 1),
    )


def _split(
    found: list[tuple[float, list[int]]], when: int, bits: int, *, is_clear: bool
) -> list[tuple[float, list[int]]]:
    with_bits = [
        (sign, [held | bits if place == when else held for place, held in enumerate(clear)])
        for sign, clear in found
    ]
    if is_clear:
        return with_bits
    return found + [(-sign, clear) for sign, clear in with_bits]
