"""What a handout tells: the whole ruleset, or one entry and all that bears on it."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace
from typing import Final

from kb.graph import EntryKind, Graph, LinkKind, graph_of
from kb.ids import CauseId, FindingId
from kb.model import By, Cause, Effect, Finding, Remedy, Ruleset, Show, Undo
from tui.draw.harms import LEAST_HARM

BY_ORDER: Final[tuple[By | None, ...]] = (By.LOOK, By.FEEL, By.MEASURE, By.CROW, By.PLAY, None)
"""From what the eye does alone to what needs the whole instrument."""
UNDO_ORDER: Final = (Undo.FULLY, Undo.PARTLY, Undo.NEVER)


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
    """For each cause what helps, the mildest first."""
    numbers: Mapping[str, str]
    """By id, of every entry of the ruleset: Q12, C7, R30, the same on every page that is made of it."""
    here: frozenset[str]
    """The ids of what the page tells, to which a link can lead."""
    elsewhere: frozenset[FindingId]
    """Signs that point at the player or the instrument alone."""
    harming: tuple[Remedy, ...] = ()
    """What mends nothing that this page tells of, and may bring it."""
    aid: Mapping[FindingId, tuple[Remedy, ...]] = field(default_factory=dict)
    """What helps first where a sitting's opening question finds a trouble that the page leaves out."""
    subject: str = ""
    """The title of the one entry that it is about; empty for a whole ruleset."""
    focus: str = ""
    """Its id: it alone stands open, or a phone would show fifty screens for one symptom."""

    @property
    def finding_in_focus(self) -> Finding | None:
        """The finding that it is about, when it is about one."""
        return next((one for one in self.findings if one.id == self.focus), None)

    def helping(self, causes: Collection[Cause]) -> tuple[tuple[Remedy, tuple[Cause, ...]], ...]:
        """Give what helps against any of `causes`, the mildest first, each with those that it mends."""
        against: dict[str, tuple[Remedy, list[Cause]]] = {}
        for cause in causes:
            for one, _ in self.mended_by.get(cause.id, ()):
                against.setdefault(one.id, (one, []))[1].append(cause)
        pairs = sorted(against.values(), key=lambda pair: mildness(*pair))
        return tuple((one, tuple(mended)) for one, mended in pairs)


def mildness(one: Remedy, mended: Collection[Cause]) -> tuple[int, bool, float]:
    """Say where an operation stands among others: what is easily undone, spares the reed and is quick, first.

    A chance has no say in it: what is most likely to help is often what cannot be undone.
    """
    spares = any(cause.elsewhere for cause in mended)
    return UNDO_ORDER.index(one.undo), not spares, one.minutes + 60 * one.hours


def whole(ruleset: Ruleset) -> Scope:
    """Tell a whole ruleset."""
    return _of(ruleset, graph_of(ruleset))


def about(ruleset: Ruleset, id_: str) -> Scope | None:
    """Tell one entry and all that bears on it; None when there is no such entry.

    A page is acted on: about a finding or a cause it tells only what mends it, and keeps what may bring
    it apart. With it stand the questions that begin every sitting, and those that guard its steps.
    """
    graph = graph_of(ruleset)
    entry = graph.entry(id_)
    if entry is None:
        return None
    part = graph.about(id_)
    harming: tuple[Remedy, ...] = ()
    if entry.kind not in {EntryKind.REMEDY, EntryKind.REST}:
        mending = {link.source for link in part.links if link.kind is LinkKind.CURES}
        bringing = {
            link.source
            for link in part.links
            if link.kind is LinkKind.PROVOKES and link.chance >= LEAST_HARM and link.source not in mending
        }
        harming = tuple(one for one in ruleset.operations if one.id in bringing)
        part = _without(part, {one.id for one in ruleset.operations} - mending)
    kept = {entry.id for entry in part.entries}
    guards = {finding for one in ruleset.operations if one.id in kept for finding in one.unless}
    scope = _of(ruleset, part, guards | set(ruleset.opening))
    order = {one.id: place for place, (one, _) in enumerate(scope.helping(scope.causes))}

    def mildest_first(operations: Collection[Remedy]) -> tuple[Remedy, ...]:
        return tuple(sorted(operations, key=lambda one: order.get(one.id, len(order))))

    everything = whole(ruleset)
    left_out = [one for one in ruleset.opening if not scope.shown_by[one]]
    return replace(
        scope,
        remedies=mildest_first(scope.remedies),
        rests=mildest_first(scope.rests),
        harming=harming,
        aid={
            id_: tuple(one for one, _ in everything.helping([cause for cause, _ in everything.shown_by[id_]]))
            for id_ in left_out
        },
        here=scope.here | {one.id for one in harming},
        subject=entry.title,
        focus=id_,
    )


def _without(graph: Graph, ids: Collection[str]) -> Graph:
    entries = tuple(entry for entry in graph.entries if entry.id not in ids)
    links = tuple(link for link in graph.links if link.source not in ids)
    return replace(graph, entries=entries, links=links)


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


def _of(ruleset: Ruleset, graph: Graph, also: Collection[FindingId] = ()) -> Scope:
    kept = {entry.id for entry in graph.entries}
    causes = tuple(cause for cause in ruleset.causes if cause.id in kept)
    # Whoever is led to a cause also wants what tells it from its neighbours.
    asked = {show.finding for cause in causes for show in cause.shows} | {FindingId(id_) for id_ in kept}
    elsewhere = _elsewhere(ruleset)
    ordered = _in_order(ruleset, elsewhere)
    findings = tuple(one for one in ordered if one.id in asked or one.id in also)
    operations = [one for one in ruleset.operations if one.id in kept]
    shown: dict[FindingId, list[tuple[Cause, Show]]] = {finding.id: [] for finding in findings}
    for cause in causes:
        for show in cause.shows:
            shown[show.finding].append((cause, show))
    mended: dict[CauseId, list[tuple[Remedy, Effect]]] = {cause.id: [] for cause in causes}
    for operation in operations:
        for effect in operation.cures:
            if effect.cause in mended:
                mended[effect.cause].append((operation, effect))
    return Scope(
        ruleset,
        graph,
        findings,
        causes,
        tuple(one for one in operations if not one.is_rest),
        tuple(one for one in operations if one.is_rest),
        {id_: tuple(sorted(some, key=lambda pair: -pair[1].strength)) for id_, some in shown.items()},
        {
            cause.id: tuple(
                sorted(mended[cause.id], key=lambda pair: (mildness(pair[0], [cause]), -pair[1].chance))
            )
            for cause in causes
        },
        _numbers(ruleset, ordered),
        frozenset(str(one.id) for group in (findings, causes, operations) for one in group),
        elsewhere,
    )


def _elsewhere(ruleset: Ruleset) -> frozenset[FindingId]:
    within = {show.finding for cause in ruleset.causes if not cause.elsewhere for show in cause.shows}
    without = {show.finding for cause in ruleset.causes if cause.elsewhere for show in cause.shows}
    return frozenset(
        one.id for one in ruleset.findings if one.priority is None and one.id in without - within
    )


def _numbers(ruleset: Ruleset, findings: Collection[Finding]) -> Mapping[str, str]:
    """Give every entry the number that it has on the page of the whole: R9 must mean one thing everywhere."""
    told = (
        ("Q", [one.id for one in findings]),
        ("C", [one.id for one in ruleset.causes]),
        ("R", [one.id for one in sorted(ruleset.operations, key=lambda one: one.is_rest)]),
    )
    return {str(id_): f"{letter}{number}" for letter, ids in told for number, id_ in enumerate(ids, 1)}


def _in_order(ruleset: Ruleset, elsewhere: frozenset[FindingId]) -> tuple[Finding, ...]:
    """Give findings by priority, most urgent first; then what tells player and instrument, then the signs.

    Within each of these by how they are come by.
    """
    rank: dict[str | None, int] = {priority.id: n for n, priority in enumerate(ruleset.priorities)}
    found = list(ruleset.findings)
    found.sort(
        key=lambda one: (
            rank.get(one.priority, len(rank)),
            one.id not in elsewhere,
            BY_ORDER.index(one.by),
        )
    )
    return tuple(found)
