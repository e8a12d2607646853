"""A YAML document as values that know where they stand. What `kb.source` reads, all else walks.

Plain Python values are wrapped once: a text, number, truth value or nothing is a `Value` whose
`data` is that; a list holds `Value`s in a tuple; a mapping holds `Pair`s, in the file's order.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from kb.text import NOWHERE, Span

Scalar = str | int | float | bool | None


@dataclass(frozen=True, slots=True)
class Value:
    """One value of a document and the stretch of text that wrote it."""

    data: "Scalar | Items | Pairs"
    span: Span

    def __getitem__(self, key: str) -> "Value":
        """Give the value under `key` of a mapping. Raises KeyError when there is none."""
        found = self.get(key)
        if found is None:
            raise KeyError(key)
        return found

    def get(self, key: str) -> "Value | None":
        """Give the value under `key`, or None when this is no mapping or has no such key."""
        pair = self.data.find(key) if isinstance(self.data, Pairs) else None
        return None if pair is None else pair.value

    def pairs(self) -> "tuple[Pair, ...]":
        """Give the pairs of a mapping, nothing for any other value."""
        return self.data.pairs if isinstance(self.data, Pairs) else ()

    def items(self) -> "tuple[Value, ...]":
        """Give the items of a list; a lone value counts as a list of itself, nothing as none."""
        if isinstance(self.data, Items):
            return self.data.items
        return () if self.data is None else (self,)


@dataclass(frozen=True, slots=True)
class Items:
    """A list."""

    items: tuple[Value, ...]


@dataclass(frozen=True, slots=True)
class Pair:
    """One key of a mapping, with its place, and its value."""

    key: str
    key_span: Span
    value: Value


@dataclass(frozen=True, slots=True)
class Pairs:
    """A mapping, in the order of the file. Keys are unique: the reader saw to it."""

    pairs: tuple[Pair, ...]

    def find(self, key: str) -> Pair | None:
        """Give the pair under `key`, or None."""
        for pair in self.pairs:  # a plain loop is twice as fast as a generator, and this runs for every key
            if pair.key == key:
                return pair
        return None

    def __iter__(self) -> Iterator[Pair]:
        """Walk the pairs in the file's order."""
        return iter(self.pairs)


EMPTY = Value(Pairs(()), NOWHERE)


@dataclass(frozen=True, slots=True)
class Place:
    """Where an entry of the model stands: its key, and everything written inside it."""

    key: Span
    value: Value

    def of(self, *path: str | int) -> Span:
        """Give the span of the value at `path`, or of the innermost thing on the way that exists."""
        return self._walk(path)[1]

    def key_of(self, *path: str | int) -> Span:
        """Give the span of the last *key* of `path` (for a list item, of the item itself)."""
        return self._walk(path)[0]

    def _walk(self, path: tuple[str | int, ...]) -> tuple[Span, Span]:
        key, value = self.key, self.value
        span = self.key
        for part in path:
            if isinstance(part, int):
                items = value.items()
                if part >= len(items):
                    break
                value = items[part]
                key = span = value.span
            else:
                pair = value.data.find(part) if isinstance(value.data, Pairs) else None
                if pair is None:
                    break
                key, value, span = pair.key_span, pair.value, pair.value.span
        return key, span


NO_PLACE = Place(NOWHERE, EMPTY)
