"""A document that follows the schema becomes a ruleset: typed ids, numbers for words, defaults.

What refers to nothing, and what contradicts itself inside one entry, is found here, because here
each name is looked up once. What takes several entries to see belongs to `kb.checks`.
"""

from dataclasses import dataclass
from typing import Final

from kb.casework import charts, trials
from kb.ids import CauseId, FindingId, PriorityId, ProfileId, QuantityId, RemedyId, RulesetId, SourceId, ToolId, ZoneId
from kb.model import (
    DEFAULT_AT_MOST,
    DEFAULT_CLEAR_BELOW,
    DEFAULT_LEAK,
    DEFAULT_SLIGHTLY,
    DEFAULT_WORTH,
    Allowance,
    By,
    Cause,
    Dissent,
    Edge,
    Effect,
    Finding,
    Hazard,
    Priority,
    Profile,
    Quantity,
    QuantityRead,
    Remedy,
    Ruleset,
    Show,
    SittingLimit,
    Source,
    Stakes,
    TestNote,
    ThicknessPoint,
    ThicknessRead,
    Tool,
    Undo,
    Zone,
)
from kb.naming import HOW_COMMON, LEAK, REST_PROVOKES, STRENGTH, Chances, Entry, Kind, Names, entries
from kb.problem import CheckName, Problem
from kb.value import Place, Value

IMPOSSIBLE_NUMBER: Final = CheckName("impossible-number")
MISSING_TARGET: Final = CheckName("missing-target")
MISSING_KEY: Final = CheckName("missing-key")
TWO_EDGES: Final = CheckName("two-edges")


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
    quantities = tuple(_quantity(entry) for entry in entries(tree, "quantities", names))
    profiles = tuple(_profile(entry) for entry in entries(tree, "thickness", names))
    known = _Measures({q.id: q for q in quantities}, {p.id: p for p in profiles})
    ruleset = Ruleset(
        id=RulesetId(top.text("id")),
        title=top.text("title"),
        version=top.text("version"),
        language=top.text("language", "en"),
        instrument=top.text("instrument"),
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


@dataclass(frozen=True, slots=True)
class _Measures:
    """What signs may be read from."""

    quantities: dict[QuantityId, Quantity]
    profiles: dict[ProfileId, Profile]


def _priorities(tree: Value, names: Names) -> tuple[Priority, ...]:
    section = tree.get("priorities")
    found: dict[str, Priority] = {}
    for item in section.items() if section is not None else ():
        entry = Entry("", Place(item.get("id").span if item.get("id") else item.span, item), names)
        name = entry.text("id")
        if not name or name in found:
            continue
        found[name] = Priority(
            PriorityId(name),
            entry.text("title", name),
            entry.text("goal"),
            entry.text("ask"),
            entry.number("worth", DEFAULT_WORTH),
            _allow(entry),
            entry.place,
        )
    return tuple(found.values())


def _finding(entry: Entry, known: _Measures, *, is_sign: bool) -> Finding:
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
        read=_read(entry, known),
        zone=None if zone is None else ZoneId(zone),
        help=entry.text("help"),
        sources=_sources(entry),
        differs=_differs(entry),
        allow=_allow(entry),
        place=entry.place,
    )


def _tie(value: Value, entry: Entry) -> TestNote:
    tie = Entry(entry.id, Place(entry.place.key, value), entry.names)
    return TestNote(tie.text("note"), tie.text("dynamic"))


def _read(entry: Entry, known: _Measures) -> QuantityRead | ThicknessRead | None:
    value = entry.get("read")
    if value is None:
        return None
    reading = Entry(entry.id, Place(value.span, value), entry.names)
    edges = [edge for edge in Edge if value.get(edge) is not None]
    if not edges:
        entry.names.complain(
            value.span, MISSING_KEY, "this reading answers nothing", "write above, below or outside, and a number or target"
        )
        return None
    if len(edges) > 1:
        entry.names.complain(
            entry.place.key_of("read", edges[1]),
            TWO_EDGES,
            f"this reading is both {edges[0]} and {edges[1]} something",
            "write one of above, below and outside; outside: target means either side of the target",
        )
        return None
    if value.get("thickness") is not None:
        return _thickness_read(reading, known, edges[0])
    return _quantity_read(reading, known, edges[0])


def _quantity_read(reading: Entry, known: _Measures, edge: Edge) -> QuantityRead | None:
    name = reading.one(Kind.QUANTITY, "quantity")
    quantity = None if name is None else known.quantities.get(QuantityId(name))
    written = reading.get(edge)
    if quantity is None or written is None:
        return None
    if isinstance(written.data, str):
        if quantity.target is None:
            reading.names.complain(
                written.span,
                MISSING_TARGET,
                f"{quantity.id!r} has no target to compare with",
                f"write target: [from, to] at {quantity.id}, or a number here",
            )
            return None
        low, high = quantity.target
        return QuantityRead(quantity.id, edge, low, high)
    number = reading.number(edge, 0.0)
    if quantity.limits is not None:
        low, high = quantity.limits
        if (edge is Edge.ABOVE and number >= high) or (edge is Edge.BELOW and number <= low):
            reading.names.complain(
                written.span,
                IMPOSSIBLE_NUMBER,
                f"no reading can be {edge} {number:g}: the limits of {quantity.id!r} are {low:g} and {high:g}",
                "widen the limits, or change this number",
            )
    return QuantityRead(quantity.id, edge, number, number)


def _thickness_read(reading: Entry, known: _Measures, edge: Edge) -> ThicknessRead | None:
    name = reading.one(Kind.PROFILE, "thickness")
    profile = None if name is None else known.profiles.get(ProfileId(name))
    lane = reading.text("lane")
    between = _ordered(reading, "between")
    if profile is None or between is None or not lane:
        return None
    place = reading.place
    if lane not in profile.lanes:
        reading.names.unknown(place.of("lane"), f"{profile.id!r} has no lane {lane!r}", lane, profile.lanes)
        return None
    if not any(point.lane == lane and between[0] <= point.at <= between[1] for point in profile.points):
        reading.names.complain(
            place.of("between"),
            MISSING_TARGET,
            f"{profile.id!r} has no point of the lane {lane!r} from {between[0]:g} to {between[1]:g}",
            "widen this stretch, or add a point",
        )
    return ThicknessRead(profile.id, lane, between, edge)


def _ordered(entry: Entry, key: str) -> tuple[float, float] | None:
    """Give two numbers of which the second is the greater; say so when it is not."""
    value = entry.get(key)
    numbers = [float(i.data) for i in (value.items() if value is not None else ()) if isinstance(i.data, int | float)]
    if value is None or len(numbers) != 2:
        return None
    if numbers[0] >= numbers[1]:
        entry.names.complain(
            value.span,
            IMPOSSIBLE_NUMBER,
            f"{key} goes from {numbers[0]:g} to {numbers[1]:g}",
            "write the lesser number first",
        )
        return None
    return numbers[0], numbers[1]


def _cause(entry: Entry) -> Cause:
    how_common, word = entry.names.chance(entry.get("how_common"), HOW_COMMON, HOW_COMMON.high)
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
        allow=_allow(entry),
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
        provokes=tuple(Effect(CauseId(i), x, w) for i, x, w in entry.chances(Kind.CAUSE, "provokes", provokes)),
        minutes=entry.number("minutes", minutes),
        undo=Undo(entry.text("undo", Undo.FULLY)),
        zone=None if zone is None else ZoneId(zone),
        tool=None if tool is None else ToolId(tool),
        caution=entry.text("caution"),
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
        allow=_allow(entry),
        place=entry.place,
    )


def _tool(entry: Entry) -> Tool:
    hazard = entry.text("hazard", Hazard.NONE)
    return Tool(ToolId(entry.id), entry.text("title", entry.id), Hazard(hazard), _allow(entry), entry.place)


def _zone(entry: Entry) -> Zone:
    polygon = entry.get("polygon")
    corners = [corner.items() for corner in (polygon.items() if polygon is not None else ())]
    wire = entry.whole("wire", 0)
    return Zone(
        ZoneId(entry.id),
        entry.text("title", entry.id),
        tuple((_as_number(c[0]), _as_number(c[1])) for c in corners if len(c) == 2),
        wire or None,
        _allow(entry),
        entry.place,
    )


def _as_number(value: Value) -> float:
    return float(value.data) if isinstance(value.data, int | float) else 0.0


def _quantity(entry: Entry) -> Quantity:
    limits, target = _ordered(entry, "limits"), _ordered(entry, "target")
    if limits is not None and target is not None and not limits[0] <= target[0] < target[1] <= limits[1]:
        entry.names.complain(
            entry.place.of("target"),
            IMPOSSIBLE_NUMBER,
            f"the target lies outside the limits, {limits[0]:g} and {limits[1]:g}",
            "a reading outside the limits is refused, so a good reed could never be entered",
        )
    precision = entry.number("precision", 0.0)
    return Quantity(
        QuantityId(entry.id),
        entry.text("title", entry.id),
        entry.text("unit"),
        limits,
        target,
        precision or None,
        _allow(entry),
        entry.place,
    )


def _profile(entry: Entry) -> Profile:
    lanes = entry.get("lanes")
    points = entry.get("points")
    stood = [Entry(entry.id, Place(p.span, p), entry.names) for p in (points.items() if points is not None else ())]
    made = tuple(
        ThicknessPoint(
            point.number("at", 0.0),
            point.text("lane"),
            point.number("target", 0.0),
            None if point.get("tolerance") is None else point.number("tolerance", 0.0),
        )
        for point in stood
    )
    named = tuple(dict.fromkeys(str(lane.data) for lane in lanes.items())) if lanes is not None else ()
    for point in stood:
        if named and point.text("lane") not in {*named, ""}:
            lane = point.text("lane")
            entry.names.unknown(point.place.of("lane"), f"{entry.id!r} has no lane {lane!r}", lane, named)
    return Profile(
        ProfileId(entry.id),
        entry.text("title", entry.id),
        entry.text("unit", "mm"),
        entry.text("from", "tip"),
        named or tuple(dict.fromkeys(point.lane for point in made)),
        made,
        _allow(entry),
        entry.place,
    )


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
        entry.number("never", usual.never), entry.number("partly", usual.partly), entry.number("fully", usual.fully)
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


def _allow(entry: Entry) -> tuple[Allowance, ...]:
    value = entry.get("allow")
    return tuple(Allowance(pair.key, str(pair.value.data)) for pair in (value.pairs() if value is not None else ()))
