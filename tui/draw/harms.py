"""Harms that are worth drawing: a slight chance that something is provoked hides what matters.

A night, say, may bring a little of everything. Pictures and walks leave that out; outlines, DOT and the
drawing in characters tell it all.
"""

from dataclasses import replace
from typing import Final

from kb.graph import Graph, LinkKind, MapLink

LEAST_HARM: Final = 0.05
"""Chance from which it is drawn that something may be provoked."""


def is_slight(link: MapLink) -> bool:
    """Whether a link says that something may be provoked, and hardly ever is."""
    return link.kind is LinkKind.PROVOKES and link.chance < LEAST_HARM


def worth_drawing(graph: Graph) -> Graph:
    """Give a map without the links that hardly ever tell."""
    return replace(graph, links=tuple(link for link in graph.links if not is_slight(link)))
