"""Steps in the order of a key, row by row, as every drawing that reads downwards needs them.

What only a question's first answer leads to stands beside a line, one deeper; what its last answer
leads to goes on below at the same depth, so that a long row of questions that are all answered no stays
a straight column. A step that several ways lead to is drawn once, after all of them; there a row says
where to go on. What would stand too deep is drawn further down.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from tui.draw.steps import Drawing, DrawnStep, Onward

DEEPEST: Final = 12
"""Lines beside each other."""


@dataclass(frozen=True, slots=True)
class StepRow:
    """A step in full."""

    depth: int
    step: DrawnStep


@dataclass(frozen=True, slots=True)
class GoRow:
    """Go on at a step that stands elsewhere."""

    depth: int
    number: int


@dataclass(frozen=True, slots=True)
class WayRow:
    """A way from the step above: what follows stands below, or in the row itself."""

    depth: int
    way: Onward
    ends: bool = False
    """Whether nothing follows."""
    go: int | None = None
    """The number of the step, standing elsewhere, that follows …"""
    said: DrawnStep | None = None
    """… or the end that follows, said in this row."""

    @property
    def is_open(self) -> bool:
        """Whether what follows stands below."""
        return not self.ends and self.go is None and self.said is None


@dataclass(frozen=True, slots=True)
class PartRow:
    """A part begins that was too deep where it belonged."""


Row = StepRow | GoRow | WayRow | PartRow


def key_rows(drawing: Drawing) -> Iterator[Row]:
    """Give all rows, from the first step on."""
    return _Key(drawing).rows()


class _Key:
    def __init__(self, drawing: Drawing) -> None:
        self._drawing = drawing
        self._drawn: set[int] = set()
        self._later = [1]
        self._reached: dict[int, frozenset[int]] = {}

    def rows(self) -> Iterator[Row]:
        while self._later:
            number = self._later.pop(0)
            if number not in self._drawn:
                yield PartRow()
                yield from self._part(number, 0, frozenset())

    def _part(self, number: int | None, depth: int, kept: frozenset[int]) -> Iterator[Row]:
        """Give a step and what follows it, at one depth; what is `kept` has its place further down."""
        while number is not None:
            step = self._drawing.step(number)
            if step.ways and (number in self._drawn or number in kept):
                yield GoRow(depth, number)
                return
            self._drawn.add(number)
            yield StepRow(depth, step)
            if not step.ways:
                return
            *aside, last = step.ways
            onward = frozenset() if last.to is None else self._from(last.to)
            for way in aside:
                yield from self._aside(way, depth, kept | onward)
            if last.word:
                if last.to is None or self._is_short(last.to, kept):
                    yield self._short(last, depth)
                    return
                yield WayRow(depth, last)
            number = last.to

    def _aside(self, way: Onward, depth: int, kept: frozenset[int]) -> Iterator[Row]:
        if way.to is None or self._is_short(way.to, kept):
            yield self._short(way, depth)
        elif depth >= DEEPEST:
            self._later.append(way.to)
            yield WayRow(depth, way, go=way.to)
        else:
            yield WayRow(depth, way)
            yield from self._part(way.to, depth + 1, kept)

    def _from(self, number: int) -> frozenset[int]:
        """Give the steps that can be reached from one, itself included."""
        if number not in self._reached:
            found, waiting = {number}, [number]
            while waiting:
                for way in self._drawing.step(waiting.pop()).ways:
                    if way.to is not None and way.to not in found:
                        found.add(way.to)
                        waiting.append(way.to)
            self._reached[number] = frozenset(found)
        return self._reached[number]

    def _is_short(self, number: int, kept: frozenset[int]) -> bool:
        """Whether a step is said in the row that leads to it: an end, or a step drawn elsewhere."""
        return number in self._drawn or number in kept or not self._drawing.step(number).ways

    def _short(self, way: Onward, depth: int) -> WayRow:
        if way.to is None:
            return WayRow(depth, way, ends=True)
        step = self._drawing.step(way.to)
        return WayRow(depth, way, go=way.to) if step.ways else WayRow(depth, way, said=step)
