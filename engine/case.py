"""A case: everything known about one reed under one ruleset, as rounds.

A round is the stretch between two remedies: all its answers describe the same state of the reed.
What lies between two rounds is a gap: a remedy, a rest, or a night in which nothing was done.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import TypeVar

from engine.spread import uncertainty
from engine.thickness import chance_shown
from kb.ids import FindingId, QuantityId, RemedyId
from kb.log.entry import (
    Answered,
    Entry,
    Measured,
    Overviewed,
    RemedyDone,
    Rested,
    SittingOpened,
    ThicknessMeasured,
    What,
)
from kb.model import Answer, GivenRound, Ruleset, ThicknessRead

K = TypeVar("K")
V = TypeVar("V")


@dataclass(frozen=True, slots=True)
class Gap:
    """What ended a round: an operation (None: nothing was done), and whether a sitting began after it."""

    operation: RemedyId | None
    new_sitting: bool


@dataclass(frozen=True, slots=True)
class Round:
    """Answers and readings that describe one state of the reed."""

    answers: tuple[tuple[FindingId, Answer], ...] = ()
    """One for each finding, in the order in which they were first given."""
    readings: tuple[tuple[QuantityId, float], ...] = ()
    sitting: int = 1
    gap: Gap | None = None
    """What ended it; None for the present round."""
    from_overview: frozenset[FindingId] = frozenset()
    """Findings answered no by an overview question, and not by themselves."""
    sigmas: tuple[tuple[QuantityId, float], ...] = ()
    """Standard uncertainty of readings that say their own; of all others the ruleset's precision holds."""
    read_off: tuple[tuple[FindingId, float], ...] = ()
    """Chances that signs show, read off the thicknesses of this round."""
    thickness: tuple[ThicknessMeasured, ...] = field(default=(), compare=False)
    """Thicknesses, in the order in which they were measured; what follows from them is in `read_off`."""

    def answer(self, finding: FindingId) -> Answer | None:
        """Give the answer in this round, or None."""
        return next((answer for id_, answer in self.answers if id_ == finding), None)

    def reading(self, quantity: QuantityId) -> float | None:
        """Give the reading in this round, or None."""
        return next((value for id_, value in self.readings if id_ == quantity), None)

    def sigma(self, ruleset: Ruleset, quantity: QuantityId) -> float | None:
        """Give the standard uncertainty of the reading in this round; None: it is taken at its word."""
        said = next((sigma for id_, sigma in self.sigmas if id_ == quantity), None)
        return ruleset.quantity[quantity].precision if said is None else said

    def read_from_thickness(self, finding: FindingId) -> float | None:
        """Give the chance that a sign shows, by the thicknesses of this round; None: they do not say."""
        return next((chance for id_, chance in self.read_off if id_ == finding), None)

    @property
    def is_told(self) -> bool:
        """Whether anything was answered or measured in it."""
        return bool(self.answers or self.readings or self.thickness)


@dataclass(frozen=True, slots=True)
class Case:
    """The rounds of one reed, oldest first; the last is the present one and has no gap yet."""

    rounds: tuple[Round, ...] = (Round(),)

    @property
    def present(self) -> Round:
        """The round that is going on."""
        return self.rounds[-1]

    @property
    def sitting(self) -> int:
        """The number of the present sitting in the reed's life."""
        return self.rounds[-1].sitting

    def in_sitting(self) -> tuple[Round, ...]:
        """Give the rounds of the present sitting, oldest first."""
        return tuple(one for one in self.rounds if one.sitting == self.sitting)

    def latest_answer(self, finding: FindingId) -> tuple[int, Answer] | None:
        """Give the round (from 0) and the answer of the last time that `finding` was told.

        Unsure does not replace an earlier answer. Readings are not looked at: see `engine.findings`.
        """
        for number in range(len(self.rounds) - 1, -1, -1):
            answer = self.rounds[number].answer(finding)
            if answer is not None and answer.is_told:
                return number, answer
        return None

    def with_answer(self, finding: FindingId, answer: Answer, *, from_overview: bool = False) -> "Case":
        """Give the case with an answer in the present round; it replaces one already there."""
        now = self.present
        marked = now.from_overview - {finding} | ({finding} if from_overview else frozenset())
        return self._with_present(
            replace(now, answers=_put(now.answers, finding, answer), from_overview=marked)
        )

    def with_reading(self, quantity: QuantityId, value: float, sigma: float | None = None) -> "Case":
        """Give the case with a reading in the present round; it replaces one already there.

        `sigma` is its standard uncertainty where it is not the ruleset's precision.
        """
        now = self.present
        others = tuple(pair for pair in now.sigmas if pair[0] != quantity)
        sigmas = others if sigma is None else (*others, (quantity, sigma))
        return self._with_present(replace(now, readings=_put(now.readings, quantity, value), sigmas=sigmas))

    def with_thickness(self, ruleset: Ruleset, measured: ThicknessMeasured) -> "Case":
        """Give the case with thicknesses measured in the present round."""
        thickness = (*self.present.thickness, measured)
        read_off = tuple(
            (finding.id, chance)
            for finding in ruleset.findings
            if isinstance(finding.read, ThicknessRead)
            and (chance := chance_shown(ruleset.profile[finding.read.profile], finding.read, thickness))
            is not None
        )
        return self._with_present(replace(self.present, thickness=thickness, read_off=read_off))

    def with_gap(
        self, operation: RemedyId | None, *, new_sitting: bool, sitting: int | None = None
    ) -> "Case":
        """End the present round and begin an empty one, `sitting` or the next one if a sitting opens."""
        number = self.sitting + new_sitting if sitting is None else sitting
        ended = replace(self.present, gap=Gap(operation, new_sitting))
        return Case((*self.rounds[:-1], ended, Round(sitting=number)))

    def with_answer_in(self, number: int, finding: FindingId, answer: Answer) -> "Case":
        """Give the case with another answer in round `number` (from 0)."""
        one = self.rounds[number]
        put = replace(one, answers=_put(one.answers, finding, answer))
        return Case((*self.rounds[:number], put, *self.rounds[number + 1 :]))

    def without_answer(self, number: int, finding: FindingId) -> "Case":
        """Give the case without an answer in round `number` (from 0)."""
        one = self.rounds[number]
        left = tuple(pair for pair in one.answers if pair[0] != finding)
        return Case((*self.rounds[:number], replace(one, answers=left), *self.rounds[number + 1 :]))

    def without_thickness(self, number: int) -> "Case":
        """Give the case without the thicknesses of round `number` (from 0)."""
        one = replace(self.rounds[number], thickness=(), read_off=())
        return Case((*self.rounds[:number], one, *self.rounds[number + 1 :]))

    def without_reading(self, number: int, quantity: QuantityId) -> "Case":
        """Give the case without a reading in round `number` (from 0)."""
        one = self.rounds[number]
        left = tuple(pair for pair in one.readings if pair[0] != quantity)
        return Case((*self.rounds[:number], replace(one, readings=left), *self.rounds[number + 1 :]))

    def with_new_sitting(self, number: int) -> "Case":
        """Open a sitting: by the gap that has just ended a round, or by one in which nothing was done."""
        if self.present.is_told:
            return self.with_gap(None, new_sitting=True, sitting=number)
        last = self.rounds[-2] if len(self.rounds) > 1 else None
        if last is None or last.gap is None:
            return self.with_sitting(number)
        opened = replace(last, gap=replace(last.gap, new_sitting=True))
        return Case((*self.rounds[:-2], opened, replace(self.present, sitting=number)))

    def with_sitting(self, number: int) -> "Case":
        """Say which sitting the first, still empty, round belongs to."""
        return self._with_present(replace(self.present, sitting=number))

    def _with_present(self, present: Round) -> "Case":
        return Case((*self.rounds[:-1], present))


def case_of_rounds(ruleset: Ruleset, given: Iterable[GivenRound]) -> Case:
    """Fold worked rounds (of a trial, of a rounds file) into a case.

    A larger `sitting` than the round before makes the gap between them open a new sitting; a last
    round with `then` is followed by an empty present one.
    """
    rounds = tuple(given) or (GivenRound(),)
    first = rounds[0]
    case = Case((Round(sitting=first.sitting or 1),))
    for number, one in enumerate(rounds):
        for finding, answer in one.given:
            case = case.with_answer(finding, answer)
        for quantity, value in one.measure:
            case = case.with_reading(quantity, value)
        following = rounds[number + 1] if number + 1 < len(rounds) else None
        if following is None and one.then is None:
            return case
        operation = None if one.then is None else ruleset.operation[one.then]
        opens = operation is not None and operation.new_sitting
        wanted = following.sitting if following is not None else None
        if wanted is not None and wanted > case.sitting:
            opens = True
        case = case.with_gap(one.then, new_sitting=opens, sitting=wanted)
    return case


def case_of_entries(ruleset: Ruleset, entries: Iterable[Entry]) -> tuple[Case, tuple[Entry, ...]]:
    """Fold a reed's standing log entries into a case.

    Also gives the entries that name something that `ruleset` does not have: their answers say
    nothing, their operations count as a gap in which nothing is known to have changed.
    """
    case, strange = Case(), []
    for entry in entries:
        folded = _with_entry(ruleset, case, entry.what)
        if folded is None:
            strange.append(entry)
            if isinstance(entry.what, RemedyDone):
                folded = case.with_gap(None, new_sitting=False)
            elif isinstance(entry.what, Rested):
                folded = case.with_gap(None, new_sitting=entry.what.new_sitting)
        case = folded or case
    return case, tuple(strange)


def _with_entry(ruleset: Ruleset, case: Case, what: What) -> Case | None:  # noqa: C901, PLR0911 - a case for each kind
    """Fold one entry; None when the ruleset lacks what it names."""
    if not _is_known(ruleset, what):
        return None
    match what:
        case SittingOpened(number):
            if case == Case():
                return case.with_sitting(number)
            return case.with_new_sitting(number) if number > case.sitting else case
        case Answered(finding, answer):
            return case.with_answer(finding, answer)
        case Overviewed(_, _, clear):
            for finding in clear:
                if finding in ruleset.finding and case.present.answer(finding) is None:
                    case = case.with_answer(finding, Answer.NO, from_overview=True)
            return case
        case Measured(quantity, value):
            return case.with_reading(quantity, value, _sigma(ruleset, what))
        case ThicknessMeasured():
            return case.with_thickness(ruleset, what)
        case RemedyDone(remedy):
            return case.with_gap(remedy, new_sitting=ruleset.operation[remedy].new_sitting)
        case Rested(rest, new_sitting):
            return case.with_gap(rest, new_sitting=new_sitting)
        case _:
            return case


def _sigma(ruleset: Ruleset, what: Measured) -> float | None:
    """Give what a reading says of its own uncertainty; None when that is what the ruleset says anyway."""
    if what.precision is None and len(what.values) < 2:
        return None
    precision = ruleset.quantity[what.quantity].precision if what.precision is None else what.precision
    return uncertainty(what.values or (what.value,), precision)


def _is_known(ruleset: Ruleset, what: What) -> bool:
    match what:
        case Answered(finding, _):
            return finding in ruleset.finding
        case Measured(quantity, _):
            return quantity in ruleset.quantity
        case RemedyDone(remedy):
            return remedy in ruleset.operation
        case Rested(rest, _):
            return rest is None or rest in ruleset.operation
        case _:
            return True


def _put(pairs: tuple[tuple[K, V], ...], key: K, value: V) -> tuple[tuple[K, V], ...]:
    if any(known == key for known, _ in pairs):
        return tuple((known, value if known == key else old) for known, old in pairs)
    return (*pairs, (key, value))
