r"""The map in DOT, Graphviz's language, for pictures on paper and on the web.

A ruleset may come from anyone, and DOT can name files and pages and hold HTML. So no text of a
ruleset ever becomes an attribute's name, a shape or a raw value: ids (plain a-z words) name the
nodes, and every title is escaped three times over: for the eye (`literal`), for DOT's own escapes
(`\N`, `\l`), and for the entities that Graphviz would still decode (`&amp;`).
"""

from collections.abc import Mapping
from typing import TYPE_CHECKING, Final

from kb.graph import EntryKind, Graph, LinkKind, MapEntry, MapLink
from tui.draw.cells import wrapped
from tui.draw.outline import chance_in_words

if TYPE_CHECKING:
    import graphviz

LABEL_CELLS: Final = 26
LABEL_LINES: Final = 5

# Colours of Okabe & Ito (2008), lightened as fills; the shape says the same without colour.
_SHAPES: Final[Mapping[EntryKind, tuple[str, str, str, str]]] = {
    EntryKind.SYMPTOM: ("box", "rounded,filled", "#d9ecf7", "#0072b2"),
    EntryKind.SIGN: ("ellipse", "filled", "#e6f5fc", "#56b4e9"),
    EntryKind.CAUSE: ("hexagon", "filled", "#fdf1d6", "#e69f00"),
    EntryKind.REMEDY: ("box", "filled", "#d9f0e8", "#009e73"),
    EntryKind.REST: ("box", "dashed,filled", "#eef8f4", "#009e73"),
}
"""Shape, style, fill and line of each kind."""


def draw_dot(graph: Graph) -> str:
    """Give the DOT text of `graph`: remedies act on causes, causes show as findings, read right to left."""
    spacing = {"rankdir": "RL", "ranksep": "1.2", "nodesep": "0.15"}
    picture = begin_picture(graph.ruleset, dot_label(graph.title), spacing, link_size=8)
    for entry in graph.entries:
        picture.node(entry.id, label=dot_label(entry.title), **_look(entry))
    for link in graph.links:
        picture.edge(link.source, link.target, **_edge(link))
    return str(picture.source)


def begin_picture(name: str, label: str, spacing: Mapping[str, str], *, link_size: int) -> "graphviz.Digraph":
    """Begin a picture in the house's look; `label` is one of `dot_label`, `spacing` ours and no ruleset's."""
    import graphviz  # noqa: PLC0415 - 80 ms that only pictures pay

    return graphviz.Digraph(
        name,
        graph_attr={"label": label, "labelloc": "t", "fontname": "sans-serif", **spacing},
        node_attr={"fontname": "sans-serif", "fontsize": "11", "margin": "0.12,0.06"},
        edge_attr={
            "fontname": "sans-serif",
            "fontsize": str(link_size),
            "color": "#555555",
            "arrowsize": "0.6",
        },
    )


def _edge(link: MapLink) -> dict[str, str]:
    look = {
        "label": dot_label(chance_in_words(link.chance, link.word)),
        "penwidth": f"{0.5 + 2.5 * link.chance:.2f}",
    }
    if link.kind is LinkKind.PROVOKES:
        look |= {"style": "dashed", "arrowhead": "tee", "color": "#d55e00"}
    return look


def _look(entry: MapEntry) -> dict[str, str]:
    shape, style, fill, line = _SHAPES[entry.kind]
    # Without a tooltip Graphviz puts the label there once more; what an entry is says more.
    tooltip = f"{entry.kind}: {entry.id}"
    return {"shape": shape, "style": style, "fillcolor": fill, "color": line, "tooltip": tooltip}


def dot_label(*texts: str, width: int = LABEL_CELLS) -> str:
    """Give texts of a ruleset as a label that Graphviz shows as they are, in lines of `width` cells."""
    import graphviz  # noqa: PLC0415 - see above

    lines = [line for text in texts for line in wrapped(text, width, LABEL_LINES)]
    safe = (graphviz.escape(line.replace("&", "&amp;")) for line in lines)
    # Marked as no HTML: otherwise a title such as <b>tip</b> would be taken for a table of Graphviz's.
    label: str = graphviz.nohtml(r"\n".join(safe))
    return label
