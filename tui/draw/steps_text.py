"""Steps in characters: as a key to be followed at the stand, and as an outline.

The key reads downwards. What only a question's first answer leads to stands beside a line, indented;
what its last answer leads to goes on below at the same depth, so that a long row of questions that are
all answered no stays a straight column. A step that several ways lead to is drawn once, after all of
them; there `go to` names its number. What would stand too far to the right is drawn further down.
"""

from collections.abc import Iterator

from engine.wording import percent
from tui.draw.cells import cells, wrapped
from tui.draw.literal import literal
from tui.draw.steps import Drawing, DrawnStep, Onward, StepKind

LINE = "│ "
DEEPEST = 12
"""Lines beside each other; 24 cells, which leaves room for titles on 80."""
MOST_LINES = 6
"""Of one title or sentence."""


def draw_key(drawing: Drawing, width: int) -> tuple[str, ...]:
    """Give the lines of the key, at most `width` cells wide (40 at least)."""
    return tuple(_Key(drawing, max(40, width)).lines())


class _Key:
    def __init__(self, drawing: Drawing, width: int) -> None:
        self._drawing = drawing
        self._width = width
        self._drawn: set[int] = set()
        self._later = [1]
        self._reached: dict[int, frozenset[int]] = {}

    def lines(self) -> Iterator[str]:
        """Give all lines, from the first step on."""
        yield from _head(self._drawing, self._width)
        while self._later:
            number = self._later.pop(0)
            if number not in self._drawn:
                yield ""
                yield from self._part(number, 0, frozenset())
        yield from _cautions(self._drawing, self._width)

    def _part(self, number: int | None, depth: int, kept: frozenset[int]) -> Iterator[str]:
        """Draw a step and what follows it, at one depth; what is `kept` has its place further down."""
        while number is not None:
            step = self._drawing.step(number)
            if step.ways and (number in self._drawn or number in kept):
                yield from self._line(depth, f"go to {number}")
                return
            self._drawn.add(number)
            lead = f"{number}. " if step.ways else ""
            yield from self._line(depth, f"{lead}{_said(step)}", len(lead))
            if not step.ways:
                return
            *aside, last = step.ways
            onward = frozenset() if last.to is None else self._from(last.to)
            for way in aside:
                yield from self._aside(way, depth, kept | onward)
            if last.word:
                if last.to is None or self._is_short(last.to, kept):
                    yield from self._line(depth, f"{_way(last)}: {self._short(last)}", 4)
                    return
                yield from self._line(depth, f"{_way(last)}:")
            number = last.to

    def _aside(self, way: Onward, depth: int, kept: frozenset[int]) -> Iterator[str]:
        if way.to is None or self._is_short(way.to, kept):
            yield from self._line(depth, f"{_way(way)}: {self._short(way)}", 4)
        elif depth >= DEEPEST:
            self._later.append(way.to)
            yield from self._line(depth, f"{_way(way)}: go to {way.to}")
        else:
            yield from self._line(depth, f"{_way(way)}:")
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
        """Whether a step is said in the line that leads to it: an end, or a step drawn elsewhere."""
        return number in self._drawn or number in kept or not self._drawing.step(number).ways

    def _short(self, way: Onward) -> str:
        if way.to is None:
            return "the chart ends here"
        step = self._drawing.step(way.to)
        return f"go to {way.to}" if step.ways else _said(step)

    def _line(self, depth: int, text: str, hang: int = 0) -> Iterator[str]:
        lead = LINE * depth
        first, *rest = wrapped(text, self._width - cells(lead) - hang, MOST_LINES)
        yield lead + first
        yield from (f"{lead}{' ' * hang}{line}" for line in rest)


def draw_steps_outline(drawing: Drawing, width: int) -> tuple[str, ...]:
    """Give every step as a numbered paragraph, with all figures: for screen readers, and for the curious."""
    lines = list(_head(drawing, width))
    for step in drawing.steps:
        lead = f"{step.number}. "
        lines.append("")
        lines += _under(lead, f"{_said(step)}", width)
        lines += _under(" " * 4, step.figures, width)
        for way in step.ways:
            onward = "the chart ends here" if way.to is None else f"go to {way.to}"
            lines += _under(" " * 4, f"{_way(way)}: {onward}" if way.word else f"then {onward}", width)
    return (*lines, *_cautions(drawing, width))


def _cautions(drawing: Drawing, width: int) -> Iterator[str]:
    cautions = drawing.cautions()
    if cautions:
        yield from ("", "Cautions:")
    for caution in cautions:
        yield from _under("- ", caution, width)


def _head(drawing: Drawing, width: int) -> Iterator[str]:
    yield from wrapped(drawing.title, width, MOST_LINES)
    for sentence in drawing.sentences:
        yield from _under("  ", sentence, width)


def _under(lead: str, text: str, width: int) -> Iterator[str]:
    first, *rest = wrapped(text, width - cells(lead), MOST_LINES)
    yield lead + first
    yield from (" " * cells(lead) + line for line in rest)


def _said(step: DrawnStep) -> str:
    words = {StepKind.DO: "Do: ", StepKind.CUT: "Do: ", StepKind.REST: "Rest: "}
    warning = "; cannot be undone" if step.kind is StepKind.CUT else ""
    return literal(f"{words.get(step.kind, '')}{step.named}{warning}")


def _way(way: Onward) -> str:
    return way.word if way.chance is None else f"{way.word}, {percent(way.chance)}"
