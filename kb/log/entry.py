"""What can be entered in the reed log. A reed is the fold over its entries; undo is an entry too.

The engine folds the same values into a case (`engine.case`), so the interview in memory and the
reed read back from disk are the same thing by construction.
"""

from dataclasses import dataclass
from typing import NewType

from kb.ids import FindingId, PriorityId, QuantityId, RemedyId, RulesetId
from kb.model import Answer

ReedId = NewType("ReedId", str)
"""Made once, random, kept through renaming and handing over."""
EntryId = NewType("EntryId", str)
"""Made once, random; two logs that hold the same entry agree on it."""


@dataclass(frozen=True, slots=True)
class RulesetMark:
    """Which text of a ruleset an entry was made under."""

    id: RulesetId
    version: str
    digest: str


@dataclass(frozen=True, slots=True)
class ReedMade:
    """A reed comes into the log."""

    name: str
    blade_up: str = ""
    """Which blade is up, in the maker's words or marks ("notch", "plain"); empty: not said."""


@dataclass(frozen=True, slots=True)
class Blank:
    """What the reed was made from, and by whom. Said again in part, the rest stays as it was.

    None: not said in this entry. Empty: what was said before no longer holds.
    """

    cane: str | None = None
    """The batch, in the maker's words."""
    shape: str | None = None
    gouge: str | None = None
    profile: str | None = None
    made_on: str | None = None
    """When the blank was formed: an ISO date, so that its age can be told."""
    built_by: str | None = None


@dataclass(frozen=True, slots=True)
class Renamed:
    """The reed is called something else from now on."""

    name: str


@dataclass(frozen=True, slots=True)
class BladeUp:
    """The maker says, or changes, which blade is up."""

    blade: str


@dataclass(frozen=True, slots=True)
class SittingOpened:
    """The reed is taken up. `number` counts sittings in its life, from 1."""

    number: int
    temperature: float | None = None
    """Degrees Celsius."""
    humidity: float | None = None
    """Relative, in per cent."""


@dataclass(frozen=True, slots=True)
class Weather:
    """The weather of the sitting that is going on, said after it was opened."""

    temperature: float | None
    """Degrees Celsius."""
    humidity: float | None
    """Relative, in per cent."""


@dataclass(frozen=True, slots=True)
class Answered:
    """A finding was answered, whether asked or volunteered."""

    finding: FindingId
    answer: Answer


@dataclass(frozen=True, slots=True)
class Overviewed:
    """A priority's overview question was answered.

    `fine`: then `clear` names every symptom that this answers no. Otherwise something is wrong
    there, and answers follow one by one.
    """

    priority: PriorityId
    fine: bool
    clear: tuple[FindingId, ...] = ()


@dataclass(frozen=True, slots=True)
class Measured:
    """A reading, in the quantity's own unit."""

    quantity: QuantityId
    value: float
    """The reading; of several, their mean."""
    values: tuple[float, ...] = ()
    """The single readings, where it was taken more than once."""
    precision: float | None = None
    """Standard deviation of the instrument, where the maker says one; else the ruleset's holds."""


@dataclass(frozen=True, slots=True)
class Spot:
    """The thickness of one place on one quarter of the reed."""

    lane: str
    """As the ruleset's profile names it: spine, channel, rail."""
    at: float
    """Millimetres from the datum."""
    values: tuple[float, ...]
    """Millimetres; more than one where it was measured again. Never empty."""
    blade: str = ""
    """`upper` or `lower`; empty: not said."""
    side: str = ""
    """`left` or `right` as the maker sees the upper blade with the tip pointing away, which is how zones
    are drawn; the lower blade's left lies under the upper one's. Empty on the spine, or not said."""


@dataclass(frozen=True, slots=True)
class ThicknessMeasured:
    """Thickness, place by place. One entry for all that was measured in one go, so it goes in whole."""

    datum: str
    """Where `at` is counted from: `tip`, `shoulder`, `first-wire`."""
    spots: tuple[Spot, ...]
    precision: float | None = None
    """Standard deviation of one reading of the gauge, in millimetres, where the maker says one."""
    from_tip: float | None = None
    """Millimetres from the tip to the datum, where it is another and the maker measured that too."""


@dataclass(frozen=True, slots=True)
class RemedyDone:
    """A remedy was done; a new round begins."""

    remedy: RemedyId


@dataclass(frozen=True, slots=True)
class Strokes:
    """How the last remedy was done: how many strokes, and where if not in the remedy's own zone."""

    number: int | None
    zone: str = ""


@dataclass(frozen=True, slots=True)
class Rested:
    """The reed was left alone; a new round begins.

    `rest` is the ruleset's rest, or None when none is named (a night between two sittings).
    """

    rest: RemedyId | None
    new_sitting: bool
    hours: float | None = None
    """How long it should lie, as the ruleset said then; None: not said."""


@dataclass(frozen=True, slots=True)
class Played:
    """The reed was played, in practice or on the stage, for so many hours since the last such entry."""

    hours: float


@dataclass(frozen=True, slots=True)
class Remarked:
    """Free text."""

    text: str


@dataclass(frozen=True, slots=True)
class Graded:
    """The maker's verdict: concert, rehearsal, practice, spare, set aside, or a word of their own."""

    grade: str
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Pictured:
    """A photo of the reed, by reference: the path is kept as text and never opened."""

    path: str
    remark: str = ""


@dataclass(frozen=True, slots=True)
class Pinned:
    """From here on the reed is judged by this ruleset."""

    mark: RulesetMark


@dataclass(frozen=True, slots=True)
class TakenBack:
    """An earlier entry no longer counts. It stays in the log."""

    entry: EntryId


What = (
    ReedMade
    | Blank
    | Renamed
    | BladeUp
    | SittingOpened
    | Weather
    | Answered
    | Overviewed
    | Measured
    | ThicknessMeasured
    | RemedyDone
    | Strokes
    | Rested
    | Played
    | Remarked
    | Pictured
    | Graded
    | Pinned
    | TakenBack
)


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of a reed's history."""

    id: EntryId
    reed: ReedId
    at: str
    """When, ISO 8601 with the offset from UTC; handed in by `tui.wiring`."""
    mark: RulesetMark | None
    """The ruleset in use, None where none is concerned (a name, a remark before the first sitting)."""
    what: What
