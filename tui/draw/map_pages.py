"""A map shared out over pages: whole where one page holds it, else by priority, else in parts of one.

A page is a map of its own: some findings, all causes that show as them, all that mends those causes,
and what that may provoke among them. A cause that also shows as a finding of another page says which
page that is. Links that would then stand on no page (an operation may provoke what shows elsewhere)
have pages of their own at the end, so that the pages together hold every link.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from kb.graph import EntryKind, Graph, LinkKind, MapEntry, MapLink
from kb.model import Ruleset
from tui.draw.sheet import GAP, Neighbours, box_height, lay_sheet

PAPER: Final = (595.28, 841.89)
"""An A4 page, in points."""
MARGIN: Final = 28.0
HEAD: Final = 46.0
"""Height of title, heads of columns and what is above the boxes."""
FOOT: Final = 52.0
"""Height of the legend."""
SMALLEST: Final = 0.85
"""Scale below which a map is shared out: titles then stand in 6.8 points."""
ROOM: Final = (PAPER[1] - 2 * MARGIN - HEAD - FOOT) / SMALLEST
"""Height of the highest map that one page holds."""


@dataclass(frozen=True, slots=True)
class MapPage:
    """One page of a map."""

    graph: Graph
    part: str
    """Which part of the whole it is; empty for a whole map."""
    elsewhere: Mapping[str, tuple[int, ...]]
    """By cause: the other pages, from 1, on which it shows too."""


def share_out(graph: Graph, ruleset: Ruleset, *, noted: frozenset[str] = frozenset()) -> tuple[MapPage, ...]:
    """Give the pages of `graph`; entries that are `noted` need a line more."""
    whole = lay_sheet(graph, dict.fromkeys(noted, ""))
    if whole.height <= ROOM:
        return (MapPage(graph, "", {}),)
    parts: list[tuple[str, Graph]] = []
    for title, findings in _groups(graph, ruleset):
        pieces = tuple(_pieces(graph, findings, noted))
        for number, piece in enumerate(pieces, start=1):
            parts.append((_named(title, number, len(pieces)), piece))
    parts += _left_over(graph, [piece for _, piece in parts], noted)
    return tuple(_with_places(parts))


def _groups(graph: Graph, ruleset: Ruleset) -> Iterator[tuple[str, tuple[MapEntry, ...]]]:
    findings = graph.of(EntryKind.SYMPTOM, EntryKind.SIGN)
    for priority in ruleset.priorities:
        yield priority.title, tuple(entry for entry in findings if entry.priority == priority.id)
    yield "Signs on the reed", tuple(entry for entry in findings if entry.priority is None)


def _pieces(graph: Graph, findings: Sequence[MapEntry], noted: frozenset[str]) -> Iterator[Graph]:
    """Take findings in order for as long as one page holds them and all that belongs to them."""
    by_target = _by_target(graph.links)
    for piece in _packed(graph, findings, lambda taken: _links_about(taken, by_target), noted):
        if _height(piece, noted) <= ROOM:
            yield piece
        else:
            yield from _by_causes(piece, noted)


def _by_causes(piece: Graph, noted: frozenset[str]) -> Iterator[Graph]:
    """Share out the causes of a finding that has more of them than one page holds."""
    causes = [entry for entry in piece.entries if entry.kind is EntryKind.CAUSE]

    def links_about(taken: Sequence[MapEntry]) -> tuple[MapLink, ...]:
        ids = {entry.id for entry in taken}
        return tuple(link for link in piece.links if link.source in ids or link.target in ids)

    yield from _packed(piece, causes, links_about, noted)


def _packed(
    graph: Graph,
    entries: Sequence[MapEntry],
    links_of: Callable[[Sequence[MapEntry]], tuple[MapLink, ...]],
    noted: frozenset[str],
) -> Iterator[Graph]:
    """Take entries in order, each page as many as it holds with the links that belong to them."""
    by_id = {entry.id: entry for entry in graph.entries}
    taken: list[MapEntry] = []
    page: Graph | None = None
    for entry in entries:
        more = _part(graph, by_id, [*taken, entry], links_of([*taken, entry]))
        if page is not None and _height(more, noted) > ROOM:
            yield page
            taken, more = [], _part(graph, by_id, [entry], links_of([entry]))
        taken, page = [*taken, entry], more
    if page is not None:
        yield page


def _by_target(links: Sequence[MapLink]) -> dict[str, list[MapLink]]:
    found: dict[str, list[MapLink]] = {}
    for link in links:
        found.setdefault(link.target, []).append(link)
    return found


def _links_about(
    findings: Sequence[MapEntry], by_target: Mapping[str, Sequence[MapLink]]
) -> tuple[MapLink, ...]:
    """Give what shows as `findings`, what mends that, and what the mending may provoke of it."""
    shows = [link for finding in findings for link in by_target.get(finding.id, ())]
    causes = dict.fromkeys(link.source for link in shows)
    acts = [link for cause in causes for link in by_target.get(cause, ())]
    mending = {link.source for link in acts if link.kind is LinkKind.CURES}
    return (*shows, *(link for link in acts if link.source in mending))


def _part(
    graph: Graph, by_id: Mapping[str, MapEntry], entries: Sequence[MapEntry], links: tuple[MapLink, ...]
) -> Graph:
    ids = dict.fromkeys(entry.id for entry in entries)
    ids |= dict.fromkeys(end for link in links for end in (link.source, link.target))
    return replace(graph, entries=tuple(by_id[id_] for id_ in ids), links=links)


def _height(part: Graph, noted: frozenset[str]) -> float:
    """Give how high the highest column of a map is, without laying it out."""
    near = Neighbours.of(part)
    columns = [0.0, 0.0, 0.0]
    for entry in part.entries:
        # Any cause of a part may have to say where else it stands.
        has_note = entry.id in noted or entry.kind is EntryKind.CAUSE
        columns[_COLUMN[entry.kind]] += box_height(entry, near, has_note) + GAP
    return max(columns)


_COLUMN: Final = {
    EntryKind.SYMPTOM: 0,
    EntryKind.SIGN: 0,
    EntryKind.CAUSE: 1,
    EntryKind.REMEDY: 2,
    EntryKind.REST: 2,
}


def _left_over(graph: Graph, parts: Sequence[Graph], noted: frozenset[str]) -> Iterator[tuple[str, Graph]]:
    """Give pages for the links and entries that stand on none yet, packed by cause."""
    drawn = {link for part in parts for link in part.links}
    placed = {entry.id for part in parts for entry in part.entries}
    by_target = _by_target([link for link in graph.links if link not in drawn])
    left = [entry for entry in graph.entries if entry.id in by_target or entry.id not in placed]
    acting = {link.source for links in by_target.values() for link in links}
    left = [entry for entry in left if entry.id in by_target or entry.id not in acting]

    def links_to(taken: Sequence[MapEntry]) -> tuple[MapLink, ...]:
        return tuple(link for entry in taken for link in by_target.get(entry.id, ()))

    pieces = tuple(_packed(graph, left, links_to, noted))
    for number, piece in enumerate(pieces, start=1):
        yield _named("What else may be provoked, and the rest", number, len(pieces)), piece


def _named(title: str, number: int, count: int) -> str:
    return title if count == 1 else f"{title}, part {number} of {count}"


def _with_places(parts: Sequence[tuple[str, Graph]]) -> Iterator[MapPage]:
    pages: dict[str, list[int]] = {}
    for number, (_, part) in enumerate(parts, start=1):
        for link in part.links:
            if link.kind is LinkKind.SHOWS and number not in pages.setdefault(link.source, []):
                pages[link.source].append(number)
    for number, (name, part) in enumerate(parts, start=1):
        elsewhere = {
            id_: tuple(page for page in found if page != number)
            for id_, found in pages.items()
            if number in found and len(found) > 1
        }
        yield MapPage(part, name, elsewhere)
