"""The interview: one value that the full screen, the plain lines and the tests drive.

    interview = Interview.begin(ruleset, entries)
    interview.card                               # what to show now
    interview = interview.with_entry(entry)      # another interview: case, belief, step anew

It follows how a maker works: the opening routine, an overview question for each priority, then
whatever the engine advises. Nothing is computed before it is asked for, and the opening routine
needs no belief at all, so a first question can be on screen before the numbers are loaded.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

from engine.case import Case, case_of_entries
from engine.findings import was_asked_in
from engine.refusal import TooWideError
from engine.standing import Spent, counts_now, spent_in_sitting
from engine.step import Advice, Kind, Step
from kb.ids import FindingId, PriorityId, QuantityId, RemedyId
from kb.log.entry import Answered, Entry, Overviewed, RemedyDone, Rested, SittingOpened
from kb.log.replay import standing
from kb.model import Ending, Finding, Priority, QuantityRead, Remedy, Ruleset

if TYPE_CHECKING:
    from engine.account import Account
    from engine.explain import CauseReasons


@dataclass(frozen=True, slots=True)
class AskCard:
    """A finding to answer with yes, slightly, no, unsure; or, where `quantity` is set, with a reading."""

    finding: Finding
    quantity: QuantityId | None
    """Set when the finding is read off a quantity: a number answers it too."""
    opening: bool
    """Whether it belongs to the opening routine (else the engine asks it)."""
    why: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class OverviewCard:
    """A priority's overview question: all fine, or something is wrong."""

    priority: Priority
    clears: tuple[FindingId, ...]
    """Symptoms that "all fine" answers no; they go into the `Overviewed` entry."""


@dataclass(frozen=True, slots=True)
class PickCard:
    """Something is wrong: the symptoms to pick from. Answering any of them goes on, or `without_picking`."""

    priority: Priority
    symptoms: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class DoCard:
    """A remedy, or a rest within the sitting, to do."""

    operation: Remedy
    why: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RestCard:
    """Leave it until the next sitting. `operation` is the ruleset's rest, None where it names none."""

    operation: Remedy | None
    why: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StopCard:
    """An end."""

    ending: Ending
    why: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class DisagreeCard:
    """The answers cannot all be true; these are the ones to look at again (round from 1, finding)."""

    answers: tuple[tuple[int, FindingId], ...]
    refusal: str = ""
    """Instead: why they cannot be weighed together, though they may be true."""


Card = AskCard | OverviewCard | PickCard | DoCard | RestCard | StopCard | DisagreeCard


@dataclass(frozen=True)
class Interview:
    """One reed at the desk under one ruleset."""

    ruleset: Ruleset
    entries: tuple[Entry, ...] = ()
    """As they were made, taken-back ones and takings back included."""
    hours_left: float | None = None
    """Hours until the reed is needed; None: no hurry. Rests that do not fit are left out."""
    picking: bool = True
    """Whether "something is wrong" is followed by a list to pick from."""

    @classmethod
    def begin(
        cls, ruleset: Ruleset, entries: Iterable[Entry] = (), *, hours_left: float | None = None
    ) -> "Interview":
        """Take up a reed where its entries left it."""
        return cls(ruleset, tuple(entries), hours_left)

    def with_entry(self, entry: Entry) -> "Interview":
        """Give the interview after one more entry (an answer, a reading, an operation, a taking back)."""
        return replace(self, entries=(*self.entries, entry), picking=True)

    def without_picking(self) -> "Interview":
        """Let the engine ask instead of picking from a list."""
        return replace(self, picking=False)

    @cached_property
    def standing(self) -> tuple[Entry, ...]:
        """The entries that count: none taken back."""
        return standing(self.entries)

    @cached_property
    def _folded(self) -> tuple[Case, tuple[Entry, ...]]:
        return case_of_entries(self.ruleset, self.standing)

    @property
    def case(self) -> Case:
        """Everything known about the reed."""
        return self._folded[0]

    @property
    def left_over(self) -> tuple[Entry, ...]:
        """Entries that name something that this ruleset does not have."""
        return self._folded[1]

    @cached_property
    def advice(self) -> Advice:
        """What the engine advises. Computed when first asked for."""
        from engine.advice import advise  # noqa: PLC0415 - loads numpy

        try:
            return advise(self.ruleset, self.case, hours_left=self.hours_left, in_full=False)
        except TooWideError as refusal:
            return Advice.refused(str(refusal), self._present_now())

    def _present_now(self) -> tuple[tuple[int, FindingId], ...]:
        """Give the present round's answers that say that something shows."""
        number = len(self.case.rounds)
        return tuple((number, finding) for finding, answer in self.case.present.answers if answer.is_present)

    @property
    def spent(self) -> Spent:
        """Minutes and irreversible operations of this sitting so far."""
        return spent_in_sitting(self.ruleset, self.case)

    @property
    def counts_later(self) -> tuple[Finding, ...]:
        """Findings that do not count yet at this sitting."""
        return tuple(finding for finding in self.ruleset.findings if not counts_now(finding, self.case))

    @property
    def is_between_sittings(self) -> bool:
        """Whether the reed has been put away and not taken up again."""
        for entry in reversed(self.standing):
            match entry.what:
                case SittingOpened() | Answered() | RemedyDone():
                    return False
                case Rested(_, new_sitting):
                    return new_sitting
                case _:
                    pass
        return False

    def reasons(self, how_many: int = 3) -> "tuple[CauseReasons, ...]":
        """Give the leading causes with what speaks for and against each."""
        from engine.explain import reasons  # noqa: PLC0415 - loads numpy

        return reasons(self.ruleset, self.case, how_many)

    def account(self) -> "Account":
        """Give the whole account of the step. Takes many weighings: not for every step."""
        from engine.account import account  # noqa: PLC0415 - loads numpy

        return account(self.ruleset, self.case, self.advice.belief)

    @property
    def is_in_opening(self) -> bool:
        """Whether the card is a question of the opening routine, which needs no belief."""
        return self._next_of_opening() is not None

    @cached_property
    def card(self) -> Card:
        """What to show now."""
        opening = self._next_of_opening()
        if opening is not None:
            return self._ask(opening, opening=True, why=())
        picking = self._to_pick_from()
        if picking is not None:
            return picking
        advice = self.advice
        if advice.step is None:
            return DisagreeCard(advice.disagree, advice.refusal)
        if advice.opens and advice.priority is not None:
            overview = self._overview(self.ruleset.priority[advice.priority])
            if overview is not None:
                return overview
        return self._card_of(advice.step)

    def _next_of_opening(self) -> Finding | None:
        for id_ in self.ruleset.opening:
            finding = self.ruleset.finding[id_]
            asked = any(was_asked_in(self.ruleset, one, id_) for one in self.case.in_sitting())
            if counts_now(finding, self.case) and not asked:
                return finding
        return None

    def _overview(self, priority: Priority) -> OverviewCard | None:
        """Give the overview question, unless it has none or was asked in this round."""
        if not priority.ask or self._overviewed_in_round(priority.id) is not None:
            return None
        unasked = tuple(finding.id for finding in self._symptoms_to_ask(priority.id))
        return OverviewCard(priority, unasked)

    def _symptoms_to_ask(self, priority: PriorityId) -> tuple[Finding, ...]:
        return tuple(
            finding
            for finding in self.ruleset.of_priority(priority)
            if counts_now(finding, self.case)
            and not was_asked_in(self.ruleset, self.case.present, finding.id)
        )

    def _to_pick_from(self) -> PickCard | None:
        """Give the list, when the last thing said of this round is that something is wrong."""
        if not self.picking:
            return None
        for entry in reversed(self.standing):
            match entry.what:
                case Overviewed(priority, False, _):
                    symptoms = self._symptoms_to_ask(priority) if priority in self.ruleset.priority else ()
                    return PickCard(self.ruleset.priority[priority], symptoms) if symptoms else None
                case Answered() | Overviewed() | RemedyDone() | Rested() | SittingOpened():
                    return None
                case _:
                    pass
        return None

    def _overviewed_in_round(self, priority: PriorityId) -> Overviewed | None:
        for entry in reversed(self.standing):
            match entry.what:
                case Overviewed(asked, _, _) if asked == priority:
                    return entry.what
                case RemedyDone() | Rested() | SittingOpened():
                    return None
                case _:
                    pass
        return None

    def _ask(self, finding: Finding, *, opening: bool, why: tuple[str, ...]) -> AskCard:
        quantity = finding.read.quantity if isinstance(finding.read, QuantityRead) else None
        return AskCard(finding, quantity, opening, why)

    def _card_of(self, step: Step) -> Card:
        match step.kind:
            case Kind.ASK:
                return self._ask(self.ruleset.finding[FindingId(step.id)], opening=False, why=step.why)
            case Kind.STOP:
                return StopCard(Ending(step.id), step.why)
            case Kind.DO | Kind.REST:
                operation = self.ruleset.operation.get(RemedyId(step.id))
                if operation is None or operation.new_sitting:
                    return RestCard(operation, step.why)
                return DoCard(operation, step.why)
