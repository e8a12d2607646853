"""The independent judge of the engine: everything that can have happened, added up.

It shares no code with `engine/` beyond the values of a case, and no idea either: it walks through
every life line of every cause, every set of links and every life line of every background, in the
words of the model (design, "Belief"). Numbers are whatever `number` makes of a float: `float`
itself, or `fractions.Fraction`, which takes each float at its exact binary value.

One fact is used to keep it bearable: once the life lines of the causes are fixed, findings have
nothing more to do with each other. `worlds` does not even use that; it is for the tiniest
rulesets, and the two are compared in tests/laws.
"""

import itertools
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from engine.case import Case, Gap, Round
from kb.ids import CauseId, FindingId, RemedyId
from kb.model import Answer, Cause, Edge, Finding, QuantityRead, Remedy, Ruleset, Show

Number = Any
"""A float or a Fraction. The two do not share a type that has both + and a comparison."""
Make = Callable[[float], Number]
Life = tuple[bool, ...]
"""Whether something is present, round by round."""

OVERNIGHT = 0.2
"""How much of what is gone comes back between two sittings, and how much of a background goes."""


@dataclass(frozen=True, slots=True)
class Judged:
    """What follows from a case."""

    evidence: Number
    rounds: tuple[Mapping[CauseId, Number], ...]
    """Chance of every cause in every round."""
    links: Mapping[tuple[CauseId, FindingId], Number]
    shows: Mapping[FindingId, Number]
    """Chance that a finding shows in the present round."""
    unlisted: Number

    @property
    def now(self) -> Mapping[CauseId, Number]:
        """Chance of every cause in the present round."""
        return self.rounds[-1]


def past_edge(read: QuantityRead, value: float) -> bool:
    """Whether a reading taken at its word makes the sign show."""
    above, below = value > read.high, value < read.low
    return {Edge.ABOVE: above, Edge.BELOW: below, Edge.OUTSIDE: above or below}[read.edge]


def soft(read: QuantityRead, value: float, precision: float) -> float:
    """Chance that the true value is past the edge."""

    def normal(z: float) -> float:
        return math.erfc(-z / math.sqrt(2)) / 2

    above, below = normal((value - read.high) / precision), normal((read.low - value) / precision)
    return {Edge.ABOVE: above, Edge.BELOW: below, Edge.OUTSIDE: above + below}[read.edge]


def weight(ruleset: Ruleset, one: Round, finding: Finding, make: Make = float) -> tuple[Number, Number]:
    """Give the weights of showing and of not showing that a round's answers put on a finding."""
    answer = one.answer(finding.id)
    counts = finding.is_sign or one.sitting >= finding.counts_from_sitting
    if answer is Answer.NO:
        return make(0.0), make(1.0)
    if answer is Answer.YES:
        return (make(1.0), make(0.0)) if counts else (make(1.0), make(1.0))
    if answer is Answer.SLIGHTLY:
        towards = make(ruleset.slightly)
        return (towards, 1 - towards) if counts else (make(1.0), make(1.0))
    if isinstance(finding.read, QuantityRead):
        value = one.reading(finding.read.quantity)
        if value is not None:
            precision = ruleset.quantity[finding.read.quantity].precision
            if precision is None:
                shown = past_edge(finding.read, value)
                return make(float(shown)), make(float(not shown))
            towards = make(soft(finding.read, value, precision))
            return towards, 1 - towards
    return make(1.0), make(1.0)


def latest(ruleset: Ruleset, case: Case, finding: FindingId) -> tuple[int, Answer] | None:
    """Give the round and the answer of the last time a finding was told, by word or by a reading.

    A reading with a precision is soft evidence, so it counts as slightly at most.
    """
    read = ruleset.finding[finding].read
    for number in reversed(range(len(case.rounds))):
        answer = case.rounds[number].answer(finding)
        if answer is not None and answer is not Answer.UNSURE:
            return number, answer
        if isinstance(read, QuantityRead):
            value = case.rounds[number].reading(read.quantity)
            if value is not None:
                firm = ruleset.quantity[read.quantity].precision is None
                shown = Answer.YES if firm else Answer.SLIGHTLY
                return number, shown if past_edge(read, value) else Answer.NO
    return None


def stated(effects: Sequence[Any], cause: CauseId) -> float | None:
    """Give the chance that an operation states for a cause, or None."""
    return next((effect.chance for effect in effects if effect.cause == cause), None)


def change(operation: Remedy | None, cause: Cause, make: Make, *, new_sitting: bool) -> tuple[Number, Number]:
    """Give the chances that a gap takes a cause away and that it brings it."""
    goes = None if operation is None else stated(operation.cures, cause.id)
    own = None if operation is None else stated(operation.provokes, cause.id)
    comes = make(own or 0.0)
    speaks_for_itself = operation is not None and operation.is_rest and own is not None
    if new_sitting and not speaks_for_itself:
        common = make(cause.how_common)
        relapse = make(OVERNIGHT) * common / (1 - common)
        comes = 1 - (1 - comes) * (1 - relapse)
    return make(goes or 0.0), comes


def change_in(ruleset: Ruleset, gap: Gap, cause: Cause, make: Make) -> tuple[Number, Number]:
    """Give `change` for a gap of a case."""
    operation = None if gap.operation is None else ruleset.operation[gap.operation]
    return change(operation, cause, make, new_sitting=gap.new_sitting)


def lives(start: Number, gaps: Sequence[tuple[Number, Number]], make: Make) -> list[tuple[Life, Number]]:
    """Give every life line that is possible at all, with its chance."""
    known: list[tuple[Life, Number]] = [((True,), start), ((False,), 1 - start)]
    for goes, comes in gaps:
        known = [
            ((*life, then), chance * step)
            for life, chance in known
            for then, step in (
                ((True, 1 - goes), (False, goes)) if life[-1] else ((True, comes), (False, 1 - comes))
            )
        ]
    zero = make(0.0)
    return [(life, chance) for life, chance in known if chance > zero]


def cause_lives(ruleset: Ruleset, case: Case, cause: Cause, make: Make) -> list[tuple[Life, Number]]:
    """Give the life lines of a cause over the rounds of a case."""
    gaps = [change_in(ruleset, one.gap, cause, make) for one in case.rounds if one.gap is not None]
    return lives(make(cause.how_common), gaps, make)


def background_lives(finding: Finding, gaps: int, make: Make) -> list[tuple[Life, Number]]:
    """Give the life lines of a finding's background: leak stays its long-run share."""
    leak = make(finding.leak)
    pair = (make(OVERNIGHT), make(OVERNIGHT) * leak / (1 - leak))
    return lives(leak, [pair] * gaps, make)


@dataclass(frozen=True, slots=True)
class Part:
    """What one finding's answers weigh, given the life lines of the causes that touch it."""

    total: Number
    on: tuple[Number, ...]
    """The part of it in which each touching link is on."""
    shows: Number
    explained: Number
    """The part of it in which the finding, in its latest round, did not show unexplained."""
    gone: Number
    """The part of it in which it does not show at the end, its background staying as it is now."""


class Ledger:
    """One finding: its touching causes, and a `Part` for each combination of their life lines.

    A life line may be longer than the case by one, the state after a sequence of operations.
    """

    def __init__(self, ruleset: Ruleset, case: Case, finding: Finding, make: Make) -> None:
        self.finding = finding
        self.make = make
        self.rounds = len(case.rounds)
        self.touching = [
            (place, make(show.strength))
            for place, cause in enumerate(ruleset.causes)
            for show in cause.shows
            if show.finding == finding.id
        ]
        self.weights = [weight(ruleset, one, finding, make) for one in case.rounds]
        self.backgrounds = background_lives(finding, self.rounds - 1, make)
        told = latest(ruleset, case, finding.id)
        self.asked_at = told[0] if told is not None and told[1] is Answer.YES else None
        self.known: dict[tuple[Life, ...], Part] = {}

    def part(self, world: Sequence[Life]) -> Part:
        """Give the part for the life lines of all causes."""
        key = tuple(world[place] for place, _ in self.touching)
        if key not in self.known:
            self.known[key] = self._part(key)
        return self.known[key]

    def _part(self, touching: tuple[Life, ...]) -> Part:
        zero = self.make(0.0)
        total = shows = explained = gone = zero
        on = [zero] * len(touching)
        for links in itertools.product((True, False), repeat=len(touching)):
            chance = self.make(1.0)
            for (_, strength), fires in zip(self.touching, links, strict=True):
                chance = chance * (strength if fires else 1 - strength)
            if chance == zero:
                continue
            acting = [life for life, fires in zip(touching, links, strict=True) if fires]
            for background, share in self.backgrounds:
                mass = chance * share
                for number, (towards, against) in enumerate(self.weights):
                    shown = background[number] or any(life[number] for life in acting)
                    mass = mass * (towards if shown else against)
                total += mass
                on = [part + mass if fires else part for part, fires in zip(on, links, strict=True)]
                if background[-1] or any(life[self.rounds - 1] for life in acting):
                    shows += mass
                if not (background[-1] or any(life[-1] for life in acting)):
                    gone += mass
                at = self.asked_at
                if at is None or not background[at] or any(life[at] for life in acting):
                    explained += mass
        return Part(total, tuple(on), shows, explained, gone)


def judge(ruleset: Ruleset, case: Case, make: Make = float) -> Judged:
    """Give everything that the engine's belief must say about a case."""
    ledgers = [Ledger(ruleset, case, finding, make) for finding in ruleset.findings]
    rounds, zero = len(case.rounds), make(0.0)
    evidence = explained = zero
    present = [[zero] * len(ruleset.causes) for _ in range(rounds)]
    links = {
        (ruleset.causes[place].id, ledger.finding.id): zero
        for ledger in ledgers
        for place, _ in ledger.touching
    }
    shows = {finding.id: zero for finding in ruleset.findings}
    for world, chance in _worlds_of_causes(ruleset, case, make):
        parts = [ledger.part(world) for ledger in ledgers]
        mass = chance * _product([part.total for part in parts], make)
        evidence += mass
        explained += chance * _product([part.explained for part in parts], make)
        for place, life in enumerate(world):
            for number in range(rounds):
                if life[number]:
                    present[number][place] += mass
        if mass == zero:
            continue
        for ledger, part in zip(ledgers, parts, strict=True):
            shows[ledger.finding.id] += mass / part.total * part.shows
            for (place, _), fired in zip(ledger.touching, part.on, strict=True):
                links[ruleset.causes[place].id, ledger.finding.id] += mass / part.total * fired
    if evidence == zero:
        return Judged(zero, (), {}, {}, zero)
    return Judged(
        evidence,
        tuple(
            {cause.id: row[place] / evidence for place, cause in enumerate(ruleset.causes)} for row in present
        ),
        {key: value / evidence for key, value in links.items()},
        {key: value / evidence for key, value in shows.items()},
        (evidence - explained) / evidence,
    )


def _worlds_of_causes(ruleset: Ruleset, case: Case, make: Make) -> Iterator[tuple[tuple[Life, ...], Number]]:
    yield from _together([cause_lives(ruleset, case, cause, make) for cause in ruleset.causes], make)


def _together(each: list[list[tuple[Life, Number]]], make: Make) -> Iterator[tuple[tuple[Life, ...], Number]]:
    for chosen in itertools.product(*each):
        yield tuple(life for life, _ in chosen), _product([chance for _, chance in chosen], make)


def _product(numbers: Sequence[Number], make: Make) -> Number:
    product = make(1.0)
    for number in numbers:
        product = product * number
    return product


@dataclass(frozen=True, slots=True)
class Gone:
    """Chances that symptoms are gone at one moment."""

    all_of_them: Number
    each: Mapping[FindingId, Number]


def gone_after(
    ruleset: Ruleset,
    case: Case,
    symptoms: Sequence[FindingId],
    sequence: Sequence[RemedyId],
    make: Make = float,
) -> Gone:
    """Give the chances that `symptoms` are gone after a sequence, backgrounds staying as they are.

    An empty sequence gives the chance that they do not show now.
    """
    ledgers = [Ledger(ruleset, case, finding, make) for finding in ruleset.findings]
    longer = []
    for cause in ruleset.causes:
        ends = []
        for life, chance in cause_lives(ruleset, case, cause, make):
            there = make(float(life[-1]))
            for operation in (ruleset.operation[id_] for id_ in sequence):
                goes, comes = change(operation, cause, make, new_sitting=operation.new_sitting)
                there = there * (1 - goes) + (1 - there) * comes
            ends += [((*life, True), chance * there), ((*life, False), chance * (1 - there))]
        longer.append([(life, chance) for life, chance in ends if chance > make(0.0)])
    evidence = everything = make(0.0)
    each = dict.fromkeys(symptoms, make(0.0))
    for world, chance in _together(longer, make):
        parts = [ledger.part(world) for ledger in ledgers]
        mass = chance * _product([part.total for part in parts], make)
        if mass == make(0.0):
            continue
        evidence += mass
        share = make(1.0)
        for ledger, part in zip(ledgers, parts, strict=True):
            if ledger.finding.id in each:
                each[ledger.finding.id] += mass * part.gone / part.total
                share = share * part.gone / part.total
        everything += mass * share
    return Gone(everything / evidence, {symptom: value / evidence for symptom, value in each.items()})


def sequence_value(gone: Sequence[Number], costs: Sequence[Number], worth: Number) -> Number:
    """Give the value of a fixed sequence, cut where it is lowest.

    `gone[k]` is the chance that all symptoms are gone after the first k; the first cost counts in
    full. Cut before its first remedy, a sequence is worth nothing but giving up.
    """
    best = (1 - gone[0]) * worth
    spent = 0 * worth
    for number, cost in enumerate(costs):
        spent = spent + (cost if number == 0 else cost * (1 - gone[number]))
        best = min(best, spent + (1 - gone[number + 1]) * worth)
    return best


def worlds(ruleset: Ruleset, case: Case) -> Judged:
    """Do as `judge` does, by the plainest way: one world after the other, in rationals.

    A world is a life line for every cause and every background and a position for every link.
    """
    count = len(case.rounds)
    tally: dict[object, Fraction] = {}
    for world in _whole_worlds(ruleset, case):
        mass = world.chance
        for finding in ruleset.findings:
            for number, one in enumerate(case.rounds):
                towards, against = weight(ruleset, one, finding, Fraction)
                mass *= towards if world.shows(finding.id, number) else against
        for mark in ("all", *_marks(ruleset, case, world)):
            tally[mark] = tally.get(mark, Fraction(0)) + mass
    evidence = tally["all"]
    if evidence == 0:
        return Judged(evidence, (), {}, {}, evidence)

    def share(*mark: object) -> Fraction:
        return tally.get(mark, Fraction(0)) / evidence

    return Judged(
        evidence,
        tuple({cause.id: share(cause.id, number) for cause in ruleset.causes} for number in range(count)),
        {(cause.id, show.finding): share("link", cause.id, show.finding) for cause, show in _links(ruleset)},
        {finding.id: share("shows", finding.id) for finding in ruleset.findings},
        share("unlisted"),
    )


@dataclass(frozen=True, slots=True)
class _World:
    """One way in which everything can have gone."""

    causes: Mapping[CauseId, Life]
    behind: Mapping[FindingId, Life]
    """Backgrounds."""
    fires: Mapping[tuple[CauseId, FindingId], bool]
    chance: Fraction

    def explained(self, finding: FindingId, number: int) -> bool:
        """Whether a cause on the list makes the finding show in a round."""
        return any(
            on and at == finding and self.causes[cause][number] for (cause, at), on in self.fires.items()
        )

    def shows(self, finding: FindingId, number: int) -> bool:
        """Whether the finding shows in a round."""
        return self.behind[finding][number] or self.explained(finding, number)


def _links(ruleset: Ruleset) -> list[tuple[Cause, Show]]:
    return [(cause, show) for cause in ruleset.causes for show in cause.shows]


def _whole_worlds(ruleset: Ruleset, case: Case) -> Iterator[_World]:
    links = [(cause.id, show.finding) for cause, show in _links(ruleset)]
    strengths = [Fraction(show.strength) for _, show in _links(ruleset)]
    alive = [cause_lives(ruleset, case, cause, Fraction) for cause in ruleset.causes]
    behind = [background_lives(finding, len(case.rounds) - 1, Fraction) for finding in ruleset.findings]
    for lived in itertools.product(*alive):
        for lain in itertools.product(*behind):
            for fires in itertools.product((True, False), repeat=len(links)):
                chances = [chance for _, chance in (*lived, *lain)]
                chances += [p if on else 1 - p for p, on in zip(strengths, fires, strict=True)]
                yield _World(
                    {cause.id: life for cause, (life, _) in zip(ruleset.causes, lived, strict=True)},
                    {finding.id: life for finding, (life, _) in zip(ruleset.findings, lain, strict=True)},
                    dict(zip(links, fires, strict=True)),
                    _product(chances, Fraction),
                )


def _marks(ruleset: Ruleset, case: Case, world: _World) -> Iterator[tuple[object, ...]]:
    last = len(case.rounds) - 1
    for cause, life in world.causes.items():
        yield from ((cause, number) for number in range(last + 1) if life[number])
    yield from (("link", *pair) for pair, on in world.fires.items() if on)
    unlisted = False
    for finding in world.behind:
        if world.shows(finding, last):
            yield "shows", finding
        told = latest(ruleset, case, finding)
        if told is not None and told[1] is Answer.YES:
            unlisted |= world.shows(finding, told[0]) and not world.explained(finding, told[0])
    if unlisted:
        yield ("unlisted",)
