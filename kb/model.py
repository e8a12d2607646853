"""A ruleset as everyone past the reader sees it: frozen values with typed ids.

Built by `kb.build` from a document that has passed its schema; every id in here refers to
something that exists, every chance is a number within its limits, every default is filled in.
Entries keep their `place`, so that a check can point at the very word that it speaks of.
Fields that hold text hold it literally as written, in the ruleset's own language.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from functools import cached_property
from types import MappingProxyType
from typing import Final

from kb.ids import (
    CauseId,
    ChartId,
    ChartStepId,
    FindingId,
    PriorityId,
    ProfileId,
    QuantityId,
    RemedyId,
    RulesetId,
    SourceId,
    ToolId,
    ZoneId,
)
from kb.value import NO_PLACE, Place

WORDS: Final[Mapping[str, float]] = MappingProxyType(
    {
        "always": 0.97,
        "usually": 0.80,
        "often": 0.60,
        "sometimes": 0.30,
        "rarely": 0.10,
        "common": 0.20,
        "occasional": 0.08,
        "rare": 0.02,
    }
)
"""The words of chance that every ruleset knows, before its own `words` are laid over them."""

DEFAULT_LEAK: Final = 0.02
DEFAULT_WORTH: Final = 120.0
DEFAULT_CLEAR_BELOW: Final = 0.15
DEFAULT_SLIGHTLY: Final = 0.75
BLADES: Final = 2
"""Blades of a reed where a ruleset says nothing of them."""
DEFAULT_AT_MOST: Final = 3


class Answer(StrEnum):
    """What was said about a finding."""

    YES = "yes"
    SLIGHTLY = "slightly"
    NO = "no"
    UNSURE = "unsure"

    @property
    def is_present(self) -> bool:
        """Whether it says that the finding shows (yes or slightly)."""
        return self in {Answer.YES, Answer.SLIGHTLY}

    @property
    def is_told(self) -> bool:
        """Whether it says anything at all (not unsure)."""
        return self is not Answer.UNSURE


class By(StrEnum):
    """How a finding is come by."""

    LOOK = "look"
    FEEL = "feel"
    MEASURE = "measure"
    CROW = "crow"
    PLAY = "play"


class Undo(StrEnum):
    """How far an operation can be undone."""

    FULLY = "fully"
    PARTLY = "partly"
    NEVER = "never"


class Hazard(StrEnum):
    """What about a tool can hurt."""

    BLADE = "blade"
    ABRASIVE = "abrasive"
    FILE = "file"
    REAMER = "reamer"
    MANDREL = "mandrel"
    PLIERS = "pliers"
    SEALANT = "sealant"
    NONE = "none"


class Ending(StrEnum):
    """How the work on a reed ends."""

    READY = "ready"
    ACCEPT = "accept"
    SET_ASIDE = "set-aside"


@dataclass(frozen=True, slots=True)
class Allowance:
    """A check that the author silences on one entry, and why."""

    check: str
    reason: str


@dataclass(frozen=True, slots=True)
class Source:
    """Where a piece of knowledge comes from."""

    id: SourceId
    title: str = ""
    kind: str = ""
    author: str = ""
    year: str = ""
    place_in: str = ""
    """Pages, chapter, journal: written under `in`."""
    url: str = ""
    read: str = ""
    """How much of it was read."""
    place: Place = field(default=NO_PLACE, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Priority:
    """A rank of trouble. The ruleset lists them most urgent first."""

    id: PriorityId
    title: str
    goal: str = ""
    ask: str = ""
    """The overview question, or nothing."""
    worth: float = DEFAULT_WORTH
    """Minutes at most that clearing it is worth."""
    allow: tuple[Allowance, ...] = ()
    place: Place = field(default=NO_PLACE, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Stakes:
    """Minutes that a step must earn beyond its own, by how far it can be undone."""

    never: float = 12.0
    partly: float = 4.0
    fully: float = 0.0

    def of(self, undo: Undo) -> float:
        """Give the stake of a step that can be undone as far as `undo`."""
        return {Undo.NEVER: self.never, Undo.PARTLY: self.partly, Undo.FULLY: self.fully}[undo]


@dataclass(frozen=True, slots=True)
class SittingLimit:
    """What is enough for one day; None where the ruleset does not say."""

    minutes: float | None = None
    cuts: int | None = None


@dataclass(frozen=True, slots=True)
class Tool:
    """Something in the hand."""

    id: ToolId
    title: str
    hazard: Hazard
    allow: tuple[Allowance, ...] = ()
    place: Place = field(default=NO_PLACE, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Zone:
    """A named area of the reed: a polygon on the blade, or a wire.

    Points are millimetres in the maker's view, tip upwards: x to the right of the centre line,
    y from the tip towards the butt.
    """

    id: ZoneId
    title: str
    polygon: tuple[tuple[float, float], ...] = ()
    wire: int | None = None
    """Counted from the tip, 1 being the nearest to the blades."""
    allow: tuple[Allowance, ...] = ()
    place: Place = field(default=NO_PLACE, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Quantity:
    """Something measured, in `unit`."""

    id: QuantityId
    title: str
    unit: str = ""
    limits: tuple[float, float] | None = None
    """What a reading can plausibly be; a reading outside is refused as a slip."""
    target: tuple[float, float] | None = None
    precision: float | None = None
    """Standard deviation of one reading; None: readings are taken at their word."""
    allow: tuple[Allowance, ...] = ()
    place: Place = field(default=NO_PLACE, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class ThicknessPoint:
    """Target thickness at one point of a blade."""

    at: float
    """Millimetres from the profile's datum."""
    lane: str
    target: float
    tolerance: float | None = None


@dataclass(frozen=True, slots=True)
class Profile:
    """The target thickness of a blade, point by point, in `unit`."""

    id: ProfileId
    title: str
    unit: str
    datum: str
    """Where distances are measured from: `tip`, `shoulder`, … Written under `from`."""
    lanes: tuple[str, ...] = ()
    points: tuple[ThicknessPoint, ...] = ()
    allow: tuple[Allowance, ...] = ()
    place: Place = field(default=NO_PLACE, compare=False, repr=False)


class Edge(StrEnum):
    """On which side of its number a reading makes a sign show."""

    ABOVE = "above"
    BELOW = "below"
    OUTSIDE = "outside"


@dataclass(frozen=True, slots=True)
class QuantityRead:
    """A sign read off a quantity: past `low` or `high`, according to `edge`.

    ABOVE uses `high` alone, BELOW `low` alone, OUTSIDE shows beyond either end.
    """

    quantity: QuantityId
    edge: Edge
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class ThicknessRead:
    """A sign read off a thickness profile, along one lane, between two distances."""

    profile: ProfileId
    lane: str
    between: tuple[float, float]
    edge: Edge
    """Against the profile's target and tolerance at each point."""


@dataclass(frozen=True, slots=True)
class TestNote:
    """What to play when trying a finding."""

    note: str
    dynamic: str = ""


@dataclass(frozen=True, slots=True)
class Finding:
    """A symptom (it has a priority and was written under `symptoms`) or a sign."""

    id: FindingId
    title: str
    ask: str
    is_sign: bool = False
    priority: PriorityId | None = None
    by: By | None = None
    minutes: float = 1.0
    leak: float = DEFAULT_LEAK
    """Chance that it shows for a reason that the ruleset does not list."""
    counts_from_sitting: int = 1
    tie: TestNote | None = None
    read: QuantityRead | ThicknessRead | None = None
    zone: ZoneId | None = None
    help: str = ""
    """How to look, feel, measure or play it, for someone who has not done it before."""
    sources: tuple[SourceId, ...] = ()
    differs: tuple["Dissent", ...] = ()
    allow: tuple[Allowance, ...] = ()
    place: Place = field(default=NO_PLACE, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Show:
    """A link: this cause, alone, makes `finding` show with chance `strength`."""

    finding: FindingId
    strength: float
    word: str = ""
    """The word of chance that the author wrote, or nothing for a number."""


@dataclass(frozen=True, slots=True)
class Effect:
    """What an operation does to a cause, and with what chance (cures or provokes)."""

    cause: CauseId
    chance: float
    word: str = ""


@dataclass(frozen=True, slots=True)
class Dissent:
    """Another source's view."""

    source: SourceId
    says: str


@dataclass(frozen=True, slots=True)
class Cause:
    """A state of the reed (or, `elsewhere`, of player or instrument) that makes findings show."""

    id: CauseId
    title: str
    how_common: float
    shows: tuple[Show, ...] = ()
    elsewhere: bool = False
    zone: ZoneId | None = None
    why: str = ""
    word: str = ""
    """The word that `how_common` was written with, or nothing for a number."""
    sources: tuple[SourceId, ...] = ()
    differs: tuple[Dissent, ...] = ()
    allow: tuple[Allowance, ...] = ()
    place: Place = field(default=NO_PLACE, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Remedy:
    """One operation, or (`is_rest`) one way of doing nothing."""

    id: RemedyId
    title: str
    do: str
    is_rest: bool = False
    cures: tuple[Effect, ...] = ()
    provokes: tuple[Effect, ...] = ()
    minutes: float = 2.0
    undo: Undo = Undo.FULLY
    zone: ZoneId | None = None
    tool: ToolId | None = None
    caution: str = ""
    recheck: tuple[FindingId, ...] = ()
    unless: tuple[FindingId, ...] = ()
    after: tuple[RemedyId, ...] = ()
    at_most: int = DEFAULT_AT_MOST
    """Times in one sitting."""
    from_sitting: int = 1
    hours: float = 0.0
    """Of a rest: how long; told, not priced."""
    new_sitting: bool = False
    """Of a rest: whether the reed is then taken up at a new sitting."""
    why: str = ""
    too_far: str = ""
    """How to tell that it went too far."""
    sources: tuple[SourceId, ...] = ()
    differs: tuple[Dissent, ...] = ()
    allow: tuple[Allowance, ...] = ()
    place: Place = field(default=NO_PLACE, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class AskStep:
    """A chart's question. `slightly` goes the way of yes unless said."""

    id: ChartStepId
    finding: FindingId
    yes: ChartStepId | None
    no: ChartStepId | None
    slightly: ChartStepId | None
    unsure: ChartStepId | None
    place: Place = field(default=NO_PLACE, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class DoStep:
    """A chart's operation, then the next step (None: the chart ends there)."""

    id: ChartStepId
    remedy: RemedyId
    then: ChartStepId | None
    place: Place = field(default=NO_PLACE, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class StopStep:
    """A chart's end."""

    id: ChartStepId
    ending: Ending
    place: Place = field(default=NO_PLACE, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Chart:
    """A decision tree that a teacher wrote by hand."""

    id: ChartId
    title: str
    start: ChartStepId
    steps: tuple[AskStep | DoStep | StopStep, ...]
    allow: tuple[Allowance, ...] = ()
    place: Place = field(default=NO_PLACE, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class GivenRound:
    """One round of a worked case or of a rounds file: the answers that describe one state.

    `then` is the remedy or rest that ended the round (None: nothing was done, or it is the last).
    `sitting` None: as the gaps before it say.
    """

    given: tuple[tuple[FindingId, Answer], ...] = ()
    measure: tuple[tuple[QuantityId, float], ...] = ()
    then: RemedyId | None = None
    sitting: int | None = None


@dataclass(frozen=True, slots=True)
class Expect:
    """What a trial demands. Empty or absent parts demand nothing."""

    cause: CauseId | None = None
    step: tuple[str, ...] = ()
    """Ids of which any will do: findings, remedies, rests, `ready`, `accept`, `set-aside`, `rest`."""
    not_step: tuple[str, ...] = ()
    """Ids of which none may be proposed."""
    priority: PriorityId | None = None
    all_clear: bool = False
    """Written `priority: null`."""


@dataclass(frozen=True, slots=True)
class Trial:
    """An author's worked case."""

    title: str
    rounds: tuple[GivenRound, ...]
    expect: Expect
    place: Place = field(default=NO_PLACE, compare=False, repr=False)


@dataclass(frozen=True)
class Ruleset:
    """Everything that one YAML document says, under one id and version."""

    id: RulesetId
    title: str
    version: str
    language: str = "en"
    instrument: str = ""
    blades: int = BLADES
    """How many blades the reed has. With one there are no quarters, upper or lower."""
    licence: str = ""
    about: str = ""
    priorities: tuple[Priority, ...] = ()
    findings: tuple[Finding, ...] = ()
    """Symptoms, then signs, each in the file's order."""
    causes: tuple[Cause, ...] = ()
    operations: tuple[Remedy, ...] = ()
    """Remedies, then rests, each in the file's order."""
    tools: tuple[Tool, ...] = ()
    zones: tuple[Zone, ...] = ()
    quantities: tuple[Quantity, ...] = ()
    thickness: tuple[Profile, ...] = ()
    charts: tuple[Chart, ...] = ()
    trials: tuple[Trial, ...] = ()
    sources: tuple[Source, ...] = ()
    opening: tuple[FindingId, ...] = ()
    words: tuple[tuple[str, float], ...] = tuple(WORDS.items())
    stakes: Stakes = Stakes()
    sitting: SittingLimit = SittingLimit()
    clear_below: float = DEFAULT_CLEAR_BELOW
    slightly: float = DEFAULT_SLIGHTLY
    glossary: tuple[tuple[str, str], ...] = ()
    digest: str = ""
    """sha256 of the text that it was read from, its base's included; empty if made in code."""
    place: Place = field(default=NO_PLACE, compare=False, repr=False)

    @cached_property
    def finding(self) -> Mapping[FindingId, Finding]:
        """Findings by id."""
        return MappingProxyType({finding.id: finding for finding in self.findings})

    @cached_property
    def cause(self) -> Mapping[CauseId, Cause]:
        """Causes by id."""
        return MappingProxyType({cause.id: cause for cause in self.causes})

    @cached_property
    def operation(self) -> Mapping[RemedyId, Remedy]:
        """Remedies and rests by id."""
        return MappingProxyType({operation.id: operation for operation in self.operations})

    @cached_property
    def quantity(self) -> Mapping[QuantityId, Quantity]:
        """Quantities by id."""
        return MappingProxyType({quantity.id: quantity for quantity in self.quantities})

    @cached_property
    def profile(self) -> Mapping[ProfileId, Profile]:
        """Target thicknesses by id."""
        return MappingProxyType({profile.id: profile for profile in self.thickness})

    @cached_property
    def tool(self) -> Mapping[ToolId, Tool]:
        """Tools by id."""
        return MappingProxyType({tool.id: tool for tool in self.tools})

    @cached_property
    def zone(self) -> Mapping[ZoneId, Zone]:
        """Zones by id."""
        return MappingProxyType({zone.id: zone for zone in self.zones})

    @cached_property
    def source(self) -> Mapping[SourceId, Source]:
        """Sources by id."""
        return MappingProxyType({source.id: source for source in self.sources})

    @cached_property
    def priority(self) -> Mapping[PriorityId, Priority]:
        """Priorities by id."""
        return MappingProxyType({priority.id: priority for priority in self.priorities})

    @property
    def symptoms(self) -> tuple[Finding, ...]:
        """The findings written under `symptoms`."""
        return tuple(finding for finding in self.findings if not finding.is_sign)

    @property
    def signs(self) -> tuple[Finding, ...]:
        """The findings written under `signs`."""
        return tuple(finding for finding in self.findings if finding.is_sign)

    @property
    def remedies(self) -> tuple[Remedy, ...]:
        """The operations that do something."""
        return tuple(operation for operation in self.operations if not operation.is_rest)

    @property
    def rests(self) -> tuple[Remedy, ...]:
        """The operations that wait."""
        return tuple(operation for operation in self.operations if operation.is_rest)

    def of_priority(self, priority: PriorityId) -> tuple[Finding, ...]:
        """Give the symptoms of `priority`, and the signs that name it, in the file's order."""
        return tuple(finding for finding in self.findings if finding.priority == priority)
