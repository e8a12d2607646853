"""The map as an outline: every entry and every link as a line of words.

Separate from the drawing because it has no upper size, serves screen readers, and says what a
drawing has no room for: ids, words of chance, and both links where an operation cures and provokes.
"""

from collections.abc import Iterable, Iterator, Mapping
from typing import Final

from kb.graph import EntryKind, Graph, LinkKind, MapEntry, MapLink
from kb.model import Ruleset
from tui.draw.cells import cells, padded
from tui.draw.literal import literal
from tui.language import worded, worded_later


def draw_outline(ruleset: Ruleset, graph: Graph) -> tuple[str, ...]:
    """Give the lines of the outline of `graph`, a part or the whole of `ruleset`."""
    lines = [literal(f"{graph.title} ({graph.ruleset} {graph.version})")]
    findings = graph.of(EntryKind.SYMPTOM, EntryKind.SIGN)
    for priority in ruleset.priorities:
        members = [entry for entry in findings if entry.priority == priority.id]
        if members:
            goal = f": {priority.goal}" if priority.goal else ""
            lines += ["", literal(f"{priority.title}{goal}")]
            lines += _blocks(graph, members)
    others = [entry for entry in findings if entry.priority is None]
    sections = (
        (worded("Signs on the reed"), others),
        (worded("Causes"), graph.of(EntryKind.CAUSE)),
        (worded("Remedies"), graph.of(EntryKind.REMEDY)),
        (worded("Rests"), graph.of(EntryKind.REST)),
    )
    for title, entries in sections:
        if entries:
            lines += ["", title, *_blocks(graph, entries)]
    return tuple(lines)


def chance_in_words(chance: float, word: str) -> str:
    """Give a chance as its author said it, with the number that it stands for.

    >>> chance_in_words(0.8, "usually"), chance_in_words(0.35, "")
    ('usually 0.80', '0.35')
    """
    number = f"{chance:.2f}" if round(chance, 2) == chance else f"{chance:.3g}"
    return f"{literal(word)} {number}" if word else number


def _blocks(graph: Graph, entries: Iterable[MapEntry]) -> Iterator[str]:
    titles = {entry.id: entry.title for entry in graph.entries}
    into, out_of = _by_end(graph.links)
    for entry in entries:
        yield literal(f"  {entry.title} ({entry.id})")
        lines = list(_lines_of(titles, into.get(entry.id, ()), out_of.get(entry.id, ())))
        verbs = max((cells(verb) for verb, _, _ in lines), default=0)
        chances = max((cells(chance) for _, chance, _ in lines), default=0)
        for verb, chance, other in lines:
            yield f"    {padded(verb, verbs)}  {padded(chance, chances)}  {literal(other)}"


def _by_end(links: Iterable[MapLink]) -> tuple[dict[str, list[MapLink]], dict[str, list[MapLink]]]:
    """Sort the links once by what they act on and by what acts.

    Looking through all of them for each entry takes seconds for ten thousand entries.
    """
    into: dict[str, list[MapLink]] = {}
    out_of: dict[str, list[MapLink]] = {}
    for link in links:
        into.setdefault(link.target, []).append(link)
        out_of.setdefault(link.source, []).append(link)
    return into, out_of


_INTO: Final = {
    LinkKind.SHOWS: worded_later("comes from"),
    LinkKind.CURES: worded_later("mended by"),
    LinkKind.PROVOKES: worded_later("provoked by"),
}
_OUT_OF: Final = {
    LinkKind.SHOWS: worded_later("shows as"),
    LinkKind.CURES: worded_later("mends"),
    LinkKind.PROVOKES: worded_later("may provoke"),
}


def _lines_of(
    titles: Mapping[str, str], into: Iterable[MapLink], out_of: Iterable[MapLink]
) -> Iterator[tuple[str, str, str]]:
    """Give verb, chance and the other entry for each link, what acts on the entry first, strongest first."""
    for link in _strongest_first(into):
        yield worded(_INTO[link.kind]), chance_in_words(link.chance, link.word), _named(titles, link.source)
    for link in _strongest_first(out_of):
        yield worded(_OUT_OF[link.kind]), chance_in_words(link.chance, link.word), _named(titles, link.target)


def _strongest_first(links: Iterable[MapLink]) -> list[MapLink]:
    kinds = list(LinkKind)
    return sorted(links, key=lambda link: (kinds.index(link.kind), -link.chance))


def _named(titles: Mapping[str, str], id_: str) -> str:
    return f"{titles[id_]} ({id_})" if id_ in titles else id_
