"""A document that follows the schema becomes a ruleset: typed ids, numbers for words, defaults.

What refers to nothing, and what contradicts itself inside one entry, is found here, because here
each name is looked up once. What takes several entries to see belongs to `kb.checks`.
"""

from dataclasses import dataclass

from kb.casework import charts, trials
from kb.ids import (
    CauseId,
    FindingId,
    PriorityId,
    RemedyId,
    RulesetId,
    SourceId,
    ToolId,
    ZoneId,
)
from kb.measures import Measures, profile, quantity, read_of
from kb.model import (
    BLADES,
    DEFAULT_AT_MOST,
    DEFAULT_CLEAR_BELOW,
    DEFAULT_LEAK,
    DEFAULT_SLIGHTLY,
    DEFAULT_WORTH,
    By,
    Cause,
    Dissent,
    Effect,
    Finding,
    Hazard,
    Priority,
    Remedy,
    Ruleset,
    Show,
    SittingLimit,
    Source,
    Stakes,
    TestNote,
    Tool,
    Undo,
    Zone,
)
from kb.naming import HOW_COMMON, LEAK, REST_PROVOKES, STRENGTH, Chances, Entry, Kind, Names, entries
from kb.problem import Problem
from kb.value import Place, Value


@dataclass(frozen=True, slots=True)
class Built:
    """A ruleset as far as it could be built, and what could not."""

    ruleset: Ruleset
    problems: tuple[Problem, ...]
    suspects: frozenset[str]
    """Ids about which no check may conclude anything from what is missing."""


def build(tree: Value, digest: str = "") -> Built:
    """Build what can be built; with problems, the ruleset is fit for checks and nothing else."""
    names = Names.of(tree)
    top = Entry("", Place(tree.span, tree), names)
    names.reserve(top.text("id"), top.place.of("id"))
    quantities = tuple(quantity(entry) for entry in entries(tree, "quantities", names))
    profiles = tuple(profile(entry) for entry in entries(tree, "thickness", names))
    known = Measures({q.id: q for q in quantities}, {p.id: p for p in profiles})
    ruleset = Ruleset(
        id=RulesetId(top.text("id")),
        title=top.text("title"),
        version=top.text("version"),
        language=top.text("language", "en"),
        instrument=top.text("instrument"),
        blades=top.whole("blades", BLADES),
        licence=top.text("licence"),
        about=top.text("about"),
        priorities=_priorities(tree, names),
        findings=(
            *(_finding(entry, known, is_sign=False) for entry in entries(tree, "symptoms", names)),
            *(_finding(entry, known, is_sign=True) for entry in entries(tree, "signs", names)),
        ),
        causes=tuple(_cause(entry) for entry in entries(tree, "causes", names)),
        operations=(
            *(_remedy(entry) for entry in entries(tree, "remedies", names)),
            *(_rest(entry) for entry in entries(tree, "rests", names)),
        ),
        tools=tuple(_tool(entry) for entry in entries(tree, "tools", names)),
        zones=tuple(_zone(entry) for entry in entries(tree, "zones", names)),
        quantities=quantities,
        thickness=profiles,
        charts=charts(tree, names),
        trials=trials(tree, names, quantities),
        sources=tuple(_source(entry) for entry in entries(tree, "sources", names)),
        opening=tuple(FindingId(i) for i in top.many(Kind.FINDING, "opening")),
        words=tuple(names.words.items()),
        stakes=_stakes(tree, names),
        sitting=_sitting(tree, names),
        clear_below=top.number("clear_below", DEFAULT_CLEAR_BELOW),
        slightly=top.number("slightly", DEFAULT_SLIGHTLY),
        glossary=tuple((e.id, str(e.place.value.data)) for e in entries(tree, "glossary", names)),
        digest=digest,
        place=top.place,
    )
    return Built(ruleset, tuple(names.problems), frozenset(names.suspects - {""}))


def _priorities(tree: Value, names: Names) -> tuple[Priority, ...]:
    section = tree.get("priorities")
    found: dict[str, Priority] = {}
    for item in section.items() if section is not None else ():
        named = item.get("id")
        name = str(named.data) if named is not None else ""
        if named is None or name in found:
            continue
        entry = Entry(name, Place(named.span, item), names)
        found[name] = Priority(
            PriorityId(name),
            entry.text("title", name),
            entry.text("goal"),
            entry.text("ask"),
            entry.number("worth", DEFAULT_WORTH),
            entry.allowances(),
            entry.place,
        )
    return tuple(found.values())


def _finding(entry: Entry, known: Measures, *, is_sign: bool) -> Finding:
    priority = entry.one(Kind.PRIORITY, "priority")
    zone = entry.one(Kind.ZONE, "zone")
    ask = entry.text("ask")
    by = entry.text("by")
    tie = entry.get("tie")
    leak, _ = entry.names.chance(entry.get("leak"), LEAK, DEFAULT_LEAK)
    return Finding(
        FindingId(entry.id),
        entry.text("title", ask),
        ask,
        is_sign=is_sign,
        priority=None if priority is None else PriorityId(priority),
        by=By(by) if by else None,
        minutes=entry.number("minutes", 1.0),
        leak=leak,
        counts_from_sitting=entry.whole("counts_from_sitting", 1),
        tie=None if tie is None else _tie(tie, entry),
        read=read_of(entry, known),
        zone=None if zone is None else ZoneId(zone),
        help=entry.text("help"),
        sources=_sources(entry),
        differs=_differs(entry),
        allow=entry.allowances(),
        place=entry.place,
    )


def _tie(value: Value, entry: Entry) -> TestNote:
    tie = Entry(entry.id, Place(entry.place.key, value), entry.names)
    return TestNote(tie.text("note"), tie.text("dynamic"))


def _cause(entry: Entry) -> Cause:
    how_common, word = entry.names.chance(entry.get("how_common"), HOW_COMMON, HOW_COMMON.high / 2)
    zone = entry.one(Kind.ZONE, "zone")
    return Cause(
        CauseId(entry.id),
        entry.text("title", entry.id),
        how_common,
        tuple(Show(FindingId(i), x, w) for i, x, w in entry.chances(Kind.FINDING, "shows", STRENGTH)),
        elsewhere=entry.yes("elsewhere"),
        zone=None if zone is None else ZoneId(zone),
        why=entry.text("why"),
        word=word,
        sources=_sources(entry),
        differs=_differs(entry),
        allow=entry.allowances(),
        place=entry.place,
    )


def _remedy(entry: Entry) -> Remedy:
    return _operation(entry, is_rest=False, minutes=2.0, provokes=STRENGTH)


def _rest(entry: Entry) -> Remedy:
    minutes = 20.0 if entry.yes("new_sitting") else 5.0
    return _operation(entry, is_rest=True, minutes=minutes, provokes=REST_PROVOKES)


def _operation(entry: Entry, *, is_rest: bool, minutes: float, provokes: Chances) -> Remedy:
    zone = entry.one(Kind.ZONE, "zone")
    tool = entry.one(Kind.TOOL, "tool")
    return Remedy(
        RemedyId(entry.id),
        entry.text("title", entry.id),
        entry.text("do"),
        is_rest=is_rest,
        cures=tuple(Effect(CauseId(i), x, w) for i, x, w in entry.chances(Kind.CAUSE, "cures", STRENGTH)),
        provokes=tuple(
            Effect(CauseId(i), x, w) for i, x, w in entry.chances(Kind.CAUSE, "provokes", provokes)
        ),
        minutes=entry.number("minutes", minutes),
        undo=Undo(entry.text("undo", Undo.FULLY)),
        zone=None if zone is None else ZoneId(zone),
        tool=None if tool is None else ToolId(tool),
        caution=entry.text("caution").strip(),
        recheck=tuple(FindingId(i) for i in entry.many(Kind.FINDING, "recheck")),
        unless=tuple(FindingId(i) for i in entry.many(Kind.FINDING, "unless")),
        after=tuple(RemedyId(i) for i in entry.many(Kind.OPERATION, "after")),
        at_most=entry.whole("at_most", DEFAULT_AT_MOST),
        from_sitting=entry.whole("from_sitting", 1),
        hours=entry.number("hours", 0.0),
        new_sitting=entry.yes("new_sitting"),
        why=entry.text("why"),
        too_far=entry.text("too_far"),
        sources=_sources(entry),
        differs=_differs(entry),
        allow=entry.allowances(),
        place=entry.place,
    )


def _tool(entry: Entry) -> Tool:
    hazard = entry.text("hazard", Hazard.NONE)
    return Tool(
        ToolId(entry.id), entry.text("title", entry.id), Hazard(hazard), entry.allowances(), entry.place
    )


def _zone(entry: Entry) -> Zone:
    polygon = entry.get("polygon")
    corners = [corner.items() for corner in (polygon.items() if polygon is not None else ())]
    wire = entry.whole("wire", 0)
    return Zone(
        ZoneId(entry.id),
        entry.text("title", entry.id),
        tuple((_as_number(c[0]), _as_number(c[1])) for c in corners if len(c) == 2),
        wire or None,
        entry.allowances(),
        entry.place,
    )


def _as_number(value: Value) -> float:
    return float(value.data) if isinstance(value.data, int | float) else 0.0


def _source(entry: Entry) -> Source:
    return Source(
        SourceId(entry.id),
        entry.text("title"),
        entry.text("kind"),
        entry.text("author"),
        entry.text("year"),
        entry.text("in"),
        entry.text("url"),
        entry.text("read"),
        entry.place,
    )


def _stakes(tree: Value, names: Names) -> Stakes:
    entry = Entry("", Place(tree.span, tree.get("stakes") or tree), names)
    usual = Stakes()
    return Stakes(
        entry.number("never", usual.never),
        entry.number("partly", usual.partly),
        entry.number("fully", usual.fully),
    )


def _sitting(tree: Value, names: Names) -> SittingLimit:
    value = tree.get("sitting")
    if value is None:
        return SittingLimit()
    entry = Entry("", Place(value.span, value), names)
    return SittingLimit(
        entry.number("minutes", 0.0) if entry.get("minutes") is not None else None,
        entry.whole("cuts", 0) if entry.get("cuts") is not None else None,
    )


def _sources(entry: Entry) -> tuple[SourceId, ...]:
    return tuple(SourceId(i) for i in entry.many(Kind.SOURCE, "sources"))


def _differs(entry: Entry) -> tuple[Dissent, ...]:
    value = entry.get("differs")
    found = []
    for item in value.items() if value is not None else ():
        dissent = Entry(entry.id, Place(item.span, item), entry.names)
        source = dissent.one(Kind.SOURCE, "source")
        if source is not None:
            found.append(Dissent(SourceId(source), dissent.text("says")))
    return tuple(found)
