"""What a ruleset says, entry by entry and key by key, whatever its layout.

Apart from `kb.model`, which serves the engine: here each value also has the words in which a
person is told of it. Two texts that differ in comments, quotes, order of entries, or in saying what
is usual anyway come to the same. Order counts where the engine follows it: of priorities, of the
opening, of rechecks.
"""

from collections.abc import Iterable, Iterator

from kb.compare.said import NONE, NOT_SAID, Key, Meant, Page, Renames, Said, Section, number
from kb.model import (
    AskStep,
    Cause,
    Chart,
    DoStep,
    Finding,
    GivenRound,
    Priority,
    Profile,
    Quantity,
    QuantityRead,
    Remedy,
    Ruleset,
    Source,
    StopStep,
    ThicknessRead,
    Tool,
    Trial,
    Zone,
)
from kb.naming import Kind
from kb.value import Place


def meanings(ruleset: Ruleset, renames: Renames = NONE) -> tuple[Meant, ...]:
    """Give all entries, section by section; `renames` are applied to ids wherever they stand."""
    return tuple(_Reader(renames).everything(ruleset))


class _Reader:
    """Turns the entries of one ruleset into what they mean."""

    def __init__(self, renames: Renames) -> None:
        self.renames = renames

    def everything(self, ruleset: Ruleset) -> Iterator[Meant]:
        yield self._head(ruleset)
        for word, value in ruleset.words:
            page = self._page()
            page.chance(value, "")
            yield Meant(Section.WORDS, word, "", page.says)
        yield from map(self._priority, ruleset.priorities)
        yield from map(self._finding, ruleset.findings)
        yield from map(self._cause, ruleset.causes)
        yield from map(self._operation, ruleset.operations)
        yield from map(self._quantity, ruleset.quantities)
        yield from map(self._profile, ruleset.thickness)
        yield from map(self._tool, ruleset.tools)
        yield from map(self._zone, ruleset.zones)
        yield from map(self._source, ruleset.sources)
        yield from map(self._chart, ruleset.charts)
        yield from self._trials(ruleset.trials)
        for word, meaning in ruleset.glossary:
            page = self._page()
            page.put(meaning)
            yield Meant(Section.GLOSSARY, word, "", page.says)

    def _page(self) -> Page:
        return Page(self.renames)

    def _meant(self, section: Section, kind: Kind, one: "_Entry", page: Page) -> Meant:
        return Meant(section, page.name(kind, one.id), _title(one), page.says, one.place)

    def _head(self, ruleset: Ruleset) -> Meant:
        page, usual = self._page(), Ruleset(ruleset.id, "", "")
        page.put(ruleset.id, "id")
        page.put(ruleset.title, "title")
        page.put(ruleset.version, "version")
        page.put(ruleset.language, "language", usual=usual.language)
        page.put(ruleset.instrument, "instrument")
        page.put(ruleset.blades, "blades", usual=usual.blades)
        page.put(ruleset.licence, "licence")
        page.put(ruleset.about, "about")
        page.put(ruleset.clear_below, "clear_below", usual=usual.clear_below)
        page.put(ruleset.slightly, "slightly", usual=usual.slightly)
        page.put(ruleset.stakes.never, "stakes", "never", usual=usual.stakes.never)
        page.put(ruleset.stakes.partly, "stakes", "partly", usual=usual.stakes.partly)
        page.put(ruleset.stakes.fully, "stakes", "fully", usual=usual.stakes.fully)
        page.put(ruleset.sitting.minutes, "sitting", "minutes", usual=None)
        page.put(ruleset.sitting.cuts, "sitting", "cuts", usual=None)
        page.many(Kind.PRIORITY, (one.id for one in ruleset.priorities), "order of priorities", ordered=True)
        page.many(Kind.FINDING, ruleset.opening, "opening", ordered=True)
        return Meant(Section.HEAD, "", ruleset.title, page.says, ruleset.place)

    def _priority(self, one: Priority) -> Meant:
        page, usual = self._page(), Priority(one.id, "")
        page.put(one.title, "title", usual=one.id)
        page.put(one.goal, "goal")
        page.put(one.ask, "ask")
        page.put(one.worth, "worth", usual=usual.worth)
        page.allowed(one.allow)
        return self._meant(Section.PRIORITIES, Kind.PRIORITY, one, page)

    def _finding(self, one: Finding) -> Meant:
        page, usual = self._page(), Finding(one.id, "", "")
        section = Section.SIGNS if one.is_sign else Section.SYMPTOMS
        page.says["kind",] = Said(one.is_sign, "sign" if one.is_sign else "symptom", is_usual=True)
        page.put(one.ask, "ask")
        page.put("" if one.title == one.ask else one.title, "title")
        page.one(Kind.PRIORITY, one.priority, "priority")
        page.put(one.by, "by", usual=None)
        page.put(one.minutes, "minutes", usual=usual.minutes)
        page.chance(one.leak, _word(one.place, "leak"), "leak", usual=usual.leak)
        page.put(one.counts_from_sitting, "counts_from_sitting", usual=1)
        tie = "" if one.tie is None else f"{one.tie.note} {one.tie.dynamic}".strip()
        page.put(tie, "tie")
        self._read(one, page)
        page.one(Kind.ZONE, one.zone, "zone")
        page.put(one.help, "help")
        page.sourced(one.sources, one.differs)
        page.allowed(one.allow)
        return self._meant(section, Kind.FINDING, one, page)

    def _read(self, one: Finding, page: Page) -> None:
        words = ""
        if isinstance(one.read, QuantityRead):
            ends = " and ".join(number(end) for end in dict.fromkeys((one.read.low, one.read.high)))
            words = f"{page.name(Kind.QUANTITY, one.read.quantity)} {one.read.edge} {ends}"
        elif isinstance(one.read, ThicknessRead):
            low, high = one.read.between
            words = (
                f"{page.name(Kind.PROFILE, one.read.profile)}, lane {one.read.lane}, "
                f"{number(low)} to {number(high)}, {one.read.edge} target"
            )
        page.says["read",] = Said(words, words or NOT_SAID, is_usual=not words)

    def _cause(self, one: Cause) -> Meant:
        page = self._page()
        page.put(one.title, "title")
        page.chance(one.how_common, one.word, "how_common")
        for show in one.shows:
            page.chance(show.strength, show.word, "shows", page.name(Kind.FINDING, show.finding))
        page.flag(one.elsewhere, "elsewhere")
        page.one(Kind.ZONE, one.zone, "zone")
        page.put(one.why, "why")
        page.sourced(one.sources, one.differs)
        page.allowed(one.allow)
        return self._meant(Section.CAUSES, Kind.CAUSE, one, page)

    def _operation(self, one: Remedy) -> Meant:
        page = self._page()
        usual = Remedy(one.id, "", "", minutes=_usual_minutes(one))
        section = Section.RESTS if one.is_rest else Section.REMEDIES
        page.says["kind",] = Said(one.is_rest, "rest" if one.is_rest else "remedy", is_usual=True)
        page.put(one.title, "title")
        page.put(one.do, "do")
        for key, effects in (("cures", one.cures), ("provokes", one.provokes)):
            for effect in effects:
                page.chance(effect.chance, effect.word, key, page.name(Kind.CAUSE, effect.cause))
        page.put(one.minutes, "minutes", usual=usual.minutes)
        page.put(one.undo, "undo", usual=usual.undo if one.is_rest else "")
        page.one(Kind.ZONE, one.zone, "zone")
        page.one(Kind.TOOL, one.tool, "tool")
        page.put(one.caution, "caution")
        page.many(Kind.FINDING, one.recheck, "recheck", ordered=True)
        page.many(Kind.FINDING, one.unless, "unless")
        page.many(Kind.OPERATION, one.after, "after")
        page.put(one.at_most, "at_most", usual=usual.at_most)
        page.put(one.from_sitting, "from_sitting", usual=usual.from_sitting)
        page.put(one.hours, "hours", usual=usual.hours)
        page.flag(one.new_sitting, "new_sitting")
        page.put(one.why, "why")
        page.put(one.too_far, "too_far")
        page.sourced(one.sources, one.differs)
        page.allowed(one.allow)
        return self._meant(section, Kind.OPERATION, one, page)

    def _quantity(self, one: Quantity) -> Meant:
        page = self._page()
        page.put(one.title, "title")
        page.put(one.unit, "unit")
        page.range(one.limits, "limits")
        page.range(one.target, "target")
        page.put(one.precision, "precision", usual=None)
        page.allowed(one.allow)
        return self._meant(Section.QUANTITIES, Kind.QUANTITY, one, page)

    def _profile(self, one: Profile) -> Meant:
        page = self._page()
        page.put(one.title, "title")
        page.put(one.unit, "unit", usual="mm")
        page.put(one.datum, "from", usual="tip")
        page.listed(one.lanes, "lanes")
        for point in one.points:
            within = "" if point.tolerance is None else f" ± {number(point.tolerance)}"
            key = ("points", f"{point.lane} at {number(point.at)}")
            words = f"{number(point.target)}{within}"
            if key in page.says:
                words = f"{page.says[key].words}; {words}"
            page.says[key] = Said(words, words)
        page.allowed(one.allow)
        return self._meant(Section.THICKNESS, Kind.PROFILE, one, page)

    def _tool(self, one: Tool) -> Meant:
        page = self._page()
        page.put(one.title, "title")
        page.put(one.hazard, "hazard")
        page.allowed(one.allow)
        return self._meant(Section.TOOLS, Kind.TOOL, one, page)

    def _zone(self, one: Zone) -> Meant:
        page = self._page()
        page.put(one.title, "title", usual=one.id)
        corners = ", ".join(f"({number(x)}, {number(y)})" for x, y in one.polygon)
        page.says["polygon",] = Said(one.polygon, corners or NOT_SAID, is_usual=not corners)
        page.put(one.wire, "wire", usual=None)
        page.allowed(one.allow)
        return self._meant(Section.ZONES, Kind.ZONE, one, page)

    def _source(self, one: Source) -> Meant:
        page = self._page()
        page.put(one.title, "title")
        page.put(one.kind, "kind")
        page.put(one.author, "author")
        page.put(one.year, "year")
        page.put(one.place_in, "in")
        page.put(one.url, "url")
        page.put(one.read, "read")
        return self._meant(Section.SOURCES, Kind.SOURCE, one, page)

    def _chart(self, one: Chart) -> Meant:
        page = self._page()
        page.put(one.title, "title")
        page.listed((one.start,), "start")
        for step in one.steps:
            words = _step(step, page)
            page.says["steps", step.id] = Said(words, words)
        page.allowed(one.allow)
        return self._meant(Section.CHARTS, Kind.CHART, one, page)

    def _trials(self, trials: Iterable[Trial]) -> Iterator[Meant]:
        """Give the trials, each under its title; of several with the same, the later are numbered."""
        seen: set[str] = set()
        for one in trials:
            name, times = one.title, 1
            while name in seen:
                times += 1
                name = f"{one.title} ({times})"
            seen.add(name)
            yield Meant(Section.TRIALS, name, "", self._trial(one).says, one.place)

    def _trial(self, one: Trial) -> Page:
        page, expect = self._page(), one.expect
        for count, round_ in enumerate(one.rounds, 1):
            self._round(page, round_, () if len(one.rounds) == 1 else (f"round {count}",))
        page.says["rounds",] = Said(len(one.rounds), number(len(one.rounds)), is_usual=True)
        page.one(Kind.CAUSE, expect.cause, "expect cause")
        page.listed(tuple(sorted(_step_name(page, id_) for id_ in expect.step)), "expect step")
        page.listed(tuple(sorted(_step_name(page, id_) for id_ in expect.not_step)), "expect not_step")
        page.one(Kind.PRIORITY, expect.priority, "expect priority")
        page.flag(expect.all_clear, "expect all clear")
        return page

    def _round(self, page: Page, one: GivenRound, at: Key) -> None:
        for finding, answer in one.given:
            page.put(answer, *at, "given", page.name(Kind.FINDING, finding))
        for quantity, reading in one.measure:
            page.put(reading, *at, "measure", page.name(Kind.QUANTITY, quantity))
        if one.then is not None:
            page.put(page.name(Kind.OPERATION, one.then), *at, "then")
        if one.sitting is not None:
            page.put(one.sitting, *at, "sitting")


_Entry = (
    Priority | Finding | Cause | Remedy | Quantity | Profile | Tool | Zone | Source | Chart
)  # each has an id, a title and a place


def _title(one: _Entry) -> str:
    return one.title if one.title != one.id else ""


def _word(place: Place, key: str) -> str:
    """Give the word of chance written at `key`, where the model keeps only its number."""
    value = place.value.get(key)
    return value.data if value is not None and isinstance(value.data, str) else ""


def _usual_minutes(one: Remedy) -> float:
    if not one.is_rest:
        return 2.0
    return 20.0 if one.new_sitting else 5.0


def _step(step: AskStep | DoStep | StopStep, page: Page) -> str:
    match step:
        case AskStep():
            ways = (("yes", step.yes), ("slightly", step.slightly), ("no", step.no), ("unsure", step.unsure))
            said = ", ".join(f"{answer}: {way or 'nothing'}" for answer, way in ways)
            return f"ask {page.name(Kind.FINDING, step.finding)}; {said}"
        case DoStep():
            return f"do {page.name(Kind.OPERATION, step.remedy)}, then {step.then or 'nothing'}"
        case StopStep():
            return f"stop: {step.ending}"


def _step_name(page: Page, id_: str) -> str:
    """Give the id of a step that a trial expects: a finding, an operation or an end."""
    named = page.name(Kind.FINDING, id_)
    return named if named != id_ else page.name(Kind.OPERATION, id_)
