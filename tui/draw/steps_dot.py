r"""Steps in DOT, Graphviz's language. Titles are escaped as in `tui.draw.dot`, which says against what."""

from collections.abc import Mapping
from typing import Final

from engine.wording import percent
from tui.draw.dot import begin_picture, dot_label
from tui.draw.steps import CANNOT_BE_UNDONE, Drawing, DrawnStep, Onward, StepKind

# Colours of Okabe & Ito (2008), lightened as fills; the shape says the same without colour.
_SHAPES: Final[Mapping[StepKind, tuple[str, str, str, str]]] = {
    StepKind.ASK: ("ellipse", "filled", "#d9ecf7", "#0072b2"),
    StepKind.DO: ("box", "filled", "#d9f0e8", "#009e73"),
    StepKind.CUT: ("box", "bold,filled", "#fbe3d5", "#d55e00"),
    StepKind.REST: ("box", "dashed,filled", "#eef8f4", "#009e73"),
    StepKind.END: ("box", "rounded,filled", "#fdf1d6", "#e69f00"),
    StepKind.OPEN: ("plaintext", "", "", ""),
}
"""Shape, style, fill and line of each kind."""


def draw_steps_dot(drawing: Drawing) -> str:
    """Give the DOT text of a tree or a chart, from the top down."""
    spacing = {"rankdir": "TB", "ranksep": "0.35", "nodesep": "0.2"}
    picture = begin_picture("steps", dot_label(drawing.title, width=80), spacing, link_size=9)
    for step in drawing.steps:
        picture.node(_node(step.number), label=_label(step), **_look(step))
        for place, way in enumerate(step.ways):
            to = f"end{step.number}x{place}" if way.to is None else _node(way.to)
            if way.to is None:
                picture.node(to, label="", shape="point", tooltip="the chart ends here")
            picture.edge(_node(step.number), to, label=dot_label(_way(way)))
    return str(picture.source)


def _node(number: int) -> str:
    return f"step{number}"


def _label(step: DrawnStep) -> str:
    # The caution stands on the paper, where the knife is, and not behind a pointer.
    return dot_label(_said(step), *([step.caution] if step.caution else []))


def _said(step: DrawnStep) -> str:
    return f"{step.title}{CANNOT_BE_UNDONE if step.kind is StepKind.CUT else ''}"


def _look(step: DrawnStep) -> dict[str, str]:
    shape, style, fill, line = _SHAPES[step.kind]
    look = {"shape": shape, "tooltip": dot_label(step.figures, width=200)}
    return look | ({"style": style, "fillcolor": fill, "color": line} if style else {})


def _way(way: Onward) -> str:
    return way.word if way.chance is None else f"{way.word} {percent(way.chance)}"
