"""Steps in characters: as a key to be followed at the stand, and as an outline.

The key reads downwards, in the order of `steps_key`; depths are lines beside the text.
"""

from collections.abc import Iterator

from engine.wording import percent
from tui.draw.cells import cells, wrapped
from tui.draw.literal import literal
from tui.draw.steps import Drawing, DrawnStep, Onward, StepKind
from tui.draw.steps_key import GoRow, PartRow, StepRow, WayRow, key_rows

LINE = "│ "
"""Two cells for each depth; 24 at most, which leaves room for titles on 80."""
MOST_LINES = 6
"""Of one title or sentence."""


def draw_key(drawing: Drawing, width: int) -> tuple[str, ...]:
    """Give the lines of the key, at most `width` cells wide (40 at least)."""
    width = max(40, width)
    return (*_head(drawing, width), *_rows(drawing, width), *_cautions(drawing, width))


def _rows(drawing: Drawing, width: int) -> Iterator[str]:
    for row in key_rows(drawing):
        match row:
            case PartRow():
                yield ""
            case StepRow(depth, step):
                lead = f"{step.number}. " if step.ways else ""
                yield from _line(depth, f"{lead}{_said(step)}", width, len(lead))
            case GoRow(depth, number):
                yield from _line(depth, f"go to {number}", width)
            case WayRow() if row.is_open:
                yield from _line(row.depth, f"{_way(row.way)}:", width)
            case WayRow():
                yield from _line(row.depth, f"{_way(row.way)}: {_short(row)}", width, 0 if row.go else 4)


def _short(row: WayRow) -> str:
    if row.said is not None:
        return _said(row.said)
    return "the chart ends here" if row.go is None else f"go to {row.go}"


def _line(depth: int, text: str, width: int, hang: int = 0) -> Iterator[str]:
    lead = LINE * depth
    first, *rest = wrapped(text, width - cells(lead) - hang, MOST_LINES)
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
