"""What a handout tells: the whole ruleset, or one entry and all that bears on it."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from typing import Final

from kb.graph import Graph, LinkKind, graph_of
from kb.ids import CauseId, FindingId
from kb.model import By, Cause, Effect, Finding, Remedy, Ruleset, Show

BY_ORDER: Final[tuple[By | None, ...]] = (By.LOOK, By.FEEL, By.MEASURE, By.CROW, By.PLAY, None)
"""From what the eye does alone to what needs the whole instrument."""


@dataclass(frozen=True, slots=True)
class Scope:
    """The part of a ruleset that a handout tells, each kind in the order in which it is told."""

    ruleset: Ruleset
    graph: Graph
    findings: tuple[Finding, ...]
    causes: tuple[Cause, ...]
    remedies: tuple[Remedy, ...]
    rests: tuple[Remedy, ...]
    shown_by: Mapping[FindingId, tuple[tuple[Cause, Show], ...]]
    """For each of the findings the causes that show as it, the strongest first."""
    mended_by: Mapping[CauseId, tuple[tuple[Remedy, Effect], ...]]
    """For each cause what helps, the surest first."""
    numbers: Mapping[str, str]
    """By id: Q12, C7, R30, in the order in which they are told, so that paper can be looked through."""
    subject: str = ""
    """The title of the one entry that it is about; empty for a whole ruleset."""
    focus: str = ""
    """Its id: it alone stands open, or a phone would show fifty screens for one symptom."""

    @property
    def finding_in_focus(self) -> Finding | None:
        """The finding that it is about, when it is about one."""
        return next((one for one in self.findings if one.id == self.focus), None)


def whole(ruleset: Ruleset) -> Scope:
    """Tell a whole ruleset."""
    return _of(ruleset, graph_of(ruleset))


def about(ruleset: Ruleset, id_: str) -> Scope | None:
    """Tell one entry and all that bears on it; None when there is no such entry."""
    graph = graph_of(ruleset)
    entry = graph.entry(id_)
    return None if entry is None else replace(_of(ruleset, graph.about(id_)), subject=entry.title, focus=id_)


def of_causes(ruleset: Ruleset, causes: Collection[CauseId]) -> Scope:
    """Tell these causes, what they show as and what mends them: the part that matters for one reed."""
    graph = graph_of(ruleset)
    mends = {link.source for link in graph.links if link.kind is LinkKind.CURES and link.target in causes}
    links = tuple(
        link
        for link in graph.links
        if (link.kind is LinkKind.SHOWS and link.source in causes)
        or (link.source in mends and link.target in causes)
    )
    kept = {*causes, *(end for link in links for end in (link.source, link.target))}
    entries = tuple(entry for entry in graph.entries if entry.id in kept)
    return _of(ruleset, replace(graph, entries=entries, links=links))


def _of(ruleset: Ruleset, graph: Graph) -> Scope:
    kept = {entry.id for entry in graph.entries}
    causes = tuple(cause for cause in ruleset.causes if cause.id in kept)
    # Whoever is led to a cause also wants what tells it from its neighbours.
    asked = {show.finding for cause in causes for show in cause.shows} | {FindingId(id_) for id_ in kept}
    findings = _in_order(ruleset, asked)
    operations = [one for one in ruleset.operations if one.id in kept]
    shown: dict[FindingId, list[tuple[Cause, Show]]] = {finding.id: [] for finding in findings}
    for cause in causes:
        for show in cause.shows:
            shown[show.finding].append((cause, show))
    mended: dict[CauseId, list[tuple[Remedy, Effect]]] = {}
    for operation in operations:
        for effect in operation.cures:
            mended.setdefault(effect.cause, []).append((operation, effect))
    remedies = tuple(one for one in operations if not one.is_rest)
    rests = tuple(one for one in operations if one.is_rest)
    told = (
        ("Q", [one.id for one in findings]),
        ("C", [one.id for one in causes]),
        ("R", [one.id for one in (*remedies, *rests)]),
    )
    return Scope(
        ruleset,
        graph,
        findings,
        causes,
        remedies,
        rests,
        {id_: tuple(sorted(some, key=lambda pair: -pair[1].strength)) for id_, some in shown.items()},
        {id_: tuple(sorted(some, key=lambda pair: -pair[1].chance)) for id_, some in mended.items()},
        {str(id_): f"{letter}{number}" for letter, ids in told for number, id_ in enumerate(ids, 1)},
    )


def _in_order(ruleset: Ruleset, kept: set[FindingId]) -> tuple[Finding, ...]:
    """Give findings by priority, most urgent first, signs without one last; then by how they are come by."""
    rank: dict[str | None, int] = {priority.id: n for n, priority in enumerate(ruleset.priorities)}
    found = [finding for finding in ruleset.findings if finding.id in kept]
    found.sort(key=lambda one: (rank.get(one.priority, len(rank)), BY_ORDER.index(one.by)))
    return tuple(found)
