"""Valid small rulesets and cases, from a seed or from hypothesis, and their text for the command line.

One generator serves both: it asks a `Chooser` for whole numbers, and a chooser is either a seeded
`random.Random` or hypothesis, which then shrinks a failing case to its bones.
"""

import json
import random
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, Protocol, TypeVar

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st

from engine.case import Case
from kb.ids import CauseId, FindingId, PriorityId, QuantityId, RemedyId, RulesetId
from kb.model import (
    Answer,
    Cause,
    Edge,
    Effect,
    Finding,
    Priority,
    Quantity,
    QuantityRead,
    Remedy,
    Ruleset,
    Show,
    Undo,
)

T = TypeVar("T")


class Chooser(Protocol):
    """Where the choices come from."""

    def whole(self, low: int, high: int) -> int:
        """Choose a whole number, both ends included."""
        ...


@dataclass(frozen=True, slots=True)
class Seeded:
    """Choices from a seeded random source."""

    source: random.Random

    def whole(self, low: int, high: int) -> int:
        return self.source.randint(low, high)


@dataclass(frozen=True, slots=True)
class Drawn:
    """Choices that hypothesis makes, and shrinks."""

    draw: Any

    def whole(self, low: int, high: int) -> int:
        return int(self.draw(st.integers(low, high)))


@dataclass(frozen=True, slots=True)
class Size:
    """How large the things to be made may be."""

    causes: tuple[int, int] = (1, 4)
    symptoms: tuple[int, int] = (1, 3)
    signs: tuple[int, int] = (0, 2)
    remedies: tuple[int, int] = (1, 3)
    rests: tuple[int, int] = (0, 2)
    rounds: tuple[int, int] = (1, 3)
    certain: bool = True
    """Whether strengths of 1 and leaks of 0 may come up, so that answers can be impossible."""


SMALL = Size()
TINY = Size(causes=(1, 2), symptoms=(1, 1), signs=(0, 1), remedies=(1, 2), rests=(0, 1), rounds=(1, 2))


def pick(choose: Chooser, among: Sequence[T]) -> T:
    """Choose one of `among`."""
    return among[choose.whole(0, len(among) - 1)]


def some(choose: Chooser, among: Sequence[T], most: int | None = None) -> tuple[T, ...]:
    """Choose some of `among`, perhaps none, in their order."""
    chosen = tuple(one for one in among if choose.whole(0, 1))
    return chosen if most is None else chosen[:most]


def hundredths(choose: Chooser, low: int, high: int) -> float:
    """Choose a number of two decimals."""
    return choose.whole(low, high) / 100


def _strength(choose: Chooser, size: Size) -> float:
    return 1.0 if size.certain and choose.whole(0, 11) == 0 else hundredths(choose, 2, 98)


def _leak(choose: Chooser, size: Size) -> float:
    kind = choose.whole(0, 7)
    if kind == 0 and size.certain:
        return 0.0
    return 0.02 if kind < 4 else hundredths(choose, 1, 50)


def _quantities(choose: Chooser) -> tuple[Quantity, ...]:
    if not choose.whole(0, 1):
        return ()
    precision = None if choose.whole(0, 2) == 0 else hundredths(choose, 3, 30)
    return (Quantity(QuantityId("opening"), "Opening", "mm", (0.1, 4.0), (1.1, 1.5), precision),)


def _read(choose: Chooser, quantities: tuple[Quantity, ...]) -> QuantityRead | None:
    if not quantities or not choose.whole(0, 2):
        return None
    id_ = quantities[0].id
    kind = pick(choose, tuple(Edge))
    if kind is Edge.OUTSIDE:
        return QuantityRead(id_, kind, 1.1, 1.5)
    at = pick(choose, (1.1, 1.3, 1.5))
    return QuantityRead(id_, kind, at, at)


def _findings(choose: Chooser, size: Size, quantities: tuple[Quantity, ...], ranks: int) -> list[Finding]:
    symptoms = [
        Finding(
            FindingId(f"symptom-{number}"),
            f"Symptom {number}?",
            f"Symptom {number}?",
            priority=PriorityId(f"rank-{choose.whole(1, ranks)}"),
            minutes=float(choose.whole(1, 3)),
            leak=_leak(choose, size),
            counts_from_sitting=pick(choose, (1, 1, 1, 2, 3)),
        )
        for number in range(1, choose.whole(*size.symptoms) + 1)
    ]
    signs = [
        Finding(
            FindingId(f"sign-{number}"),
            f"Sign {number}?",
            f"Sign {number}?",
            is_sign=True,
            priority=None if choose.whole(0, 4) else PriorityId(f"rank-{choose.whole(1, ranks)}"),
            minutes=float(choose.whole(1, 3)),
            leak=_leak(choose, size),
            read=_read(choose, quantities),
        )
        for number in range(1, choose.whole(*size.signs) + 1)
    ]
    return symptoms + signs


def _causes(choose: Chooser, size: Size, findings: Sequence[Finding]) -> list[Cause]:
    return [
        Cause(
            CauseId(f"cause-{number}"),
            f"Cause {number}",
            hundredths(choose, 1, 50),
            tuple(Show(finding.id, _strength(choose, size)) for finding in some(choose, findings)),
        )
        for number in range(1, choose.whole(*size.causes) + 1)
    ]


def _effects(
    choose: Chooser, causes: Sequence[Cause], size: Size, *, none_too: bool = False
) -> tuple[Effect, ...]:
    return tuple(
        Effect(cause.id, 0.0 if none_too and choose.whole(0, 3) == 0 else _strength(choose, size))
        for cause in some(choose, causes)
    )


def _operation(
    choose: Chooser,
    size: Size,
    name: str,
    causes: Sequence[Cause],
    findings: Sequence[Finding],
    *,
    is_rest: bool,
) -> Remedy:
    new_sitting = is_rest and bool(choose.whole(0, 1))
    symptoms = [finding for finding in findings if not finding.is_sign]
    return Remedy(
        RemedyId(name),
        name,
        f"Do {name}.",
        is_rest=is_rest,
        cures=_effects(choose, causes, size),
        provokes=_effects(choose, causes, size, none_too=is_rest) if choose.whole(0, 1) else (),
        minutes=float(choose.whole(1, 9) if not new_sitting else 20),
        undo=Undo.FULLY if is_rest else pick(choose, tuple(Undo)),
        recheck=() if is_rest else tuple(finding.id for finding in some(choose, symptoms, 1)),
        unless=() if is_rest or choose.whole(0, 3) else tuple(f.id for f in some(choose, findings, 1)),
        at_most=3 if is_rest else choose.whole(1, 3),
        hours=12.0 if new_sitting else 0.0,
        new_sitting=new_sitting,
    )


def make_ruleset(choose: Chooser, size: Size = SMALL) -> Ruleset:
    """Make a valid ruleset."""
    ranks = choose.whole(1, 3)
    quantities = _quantities(choose)
    findings = _findings(choose, size, quantities, ranks)
    causes = _causes(choose, size, findings)
    remedies = [
        _operation(choose, size, f"remedy-{number}", causes, findings, is_rest=False)
        for number in range(1, choose.whole(*size.remedies) + 1)
    ]
    rests = [
        _operation(choose, size, f"rest-{number}", causes, findings, is_rest=True)
        for number in range(1, choose.whole(*size.rests) + 1)
    ]
    return Ruleset(
        RulesetId("made-up"),
        "Made up",
        "1.0.0",
        priorities=tuple(
            Priority(PriorityId(f"rank-{number}"), f"Rank {number}", worth=float(choose.whole(2, 12) * 10))
            for number in range(1, ranks + 1)
        ),
        findings=tuple(findings),
        causes=tuple(causes),
        operations=tuple(remedies + rests),
        quantities=quantities,
        slightly=pick(choose, (0.75, 0.75, 0.6, 0.9)),
    )


def make_case(choose: Chooser, ruleset: Ruleset, size: Size = SMALL) -> Case:
    """Make a case for a ruleset: rounds, gaps of all kinds, answers of all kinds, readings."""
    case = Case().with_sitting(pick(choose, (1, 1, 1, 2)))
    count = choose.whole(*size.rounds)
    for number in range(count):
        for finding in ruleset.findings:
            kind = choose.whole(0, 6)
            if kind < 4:
                case = case.with_answer(finding.id, tuple(Answer)[kind])
        for quantity in ruleset.quantities:
            if choose.whole(0, 1):
                case = case.with_reading(quantity.id, hundredths(choose, 95, 165))
        if number + 1 < count:
            case = _with_gap(choose, ruleset, case)
    return case


def _with_gap(choose: Chooser, ruleset: Ruleset, case: Case) -> Case:
    among: list[Remedy | None] = [None, *ruleset.operations]
    operation = pick(choose, among)
    # A remedy, or nothing, may also be followed by a night: then the next round says its sitting.
    overnight = choose.whole(0, 3) == 0
    opens = overnight or (operation is not None and operation.new_sitting)
    return case.with_gap(None if operation is None else operation.id, new_sitting=opens)


def seeded(seed: int, size: Size = SMALL) -> tuple[Ruleset, Case]:
    """Give the ruleset and the case of a seed."""
    choose = Seeded(random.Random(seed))
    ruleset = make_ruleset(choose, size)
    return ruleset, make_case(choose, ruleset, size)


@st.composite
def situations(draw: Any, size: Size = SMALL) -> tuple[Ruleset, Case]:
    """Rulesets with a case."""
    choose = Drawn(draw)
    ruleset = make_ruleset(choose, size)
    return ruleset, make_case(choose, ruleset, size)


def reordered(ruleset: Ruleset, seed: int) -> Ruleset:
    """Give the same ruleset as another author would have ordered it."""
    source = random.Random(seed)

    def mixed(items: tuple[T, ...]) -> tuple[T, ...]:
        return tuple(source.sample(items, len(items)))

    return replace(
        ruleset,
        findings=mixed(ruleset.symptoms) + mixed(ruleset.signs),
        causes=tuple(replace(cause, shows=mixed(cause.shows)) for cause in mixed(ruleset.causes)),
        operations=tuple(
            replace(one, cures=mixed(one.cures), provokes=mixed(one.provokes))
            for one in mixed(ruleset.remedies) + mixed(ruleset.rests)
        ),
    )


def _finding_entry(finding: Finding) -> dict[str, object]:
    entry: dict[str, object] = {"ask": finding.ask, "title": finding.title, "leak": finding.leak}
    entry["minutes"] = finding.minutes
    if finding.priority is not None:
        entry["priority"] = finding.priority
    if finding.counts_from_sitting != 1:
        entry["counts_from_sitting"] = finding.counts_from_sitting
    if isinstance(finding.read, QuantityRead):
        edge: object = "target"
        if finding.read.edge is not Edge.OUTSIDE:
            edge = finding.read.high if finding.read.edge is Edge.ABOVE else finding.read.low
        entry["read"] = {"quantity": finding.read.quantity, str(finding.read.edge): edge}
    return entry


def _operation_entry(operation: Remedy) -> dict[str, object]:
    entry: dict[str, object] = {"title": operation.title, "do": operation.do, "minutes": operation.minutes}
    entry["cures"] = {effect.cause: effect.chance for effect in operation.cures}
    if operation.provokes:
        entry["provokes"] = {effect.cause: effect.chance for effect in operation.provokes}
    if operation.is_rest:
        return entry | {"hours": operation.hours, "new_sitting": operation.new_sitting}
    entry |= {"undo": str(operation.undo), "at_most": operation.at_most}
    entry["from_sitting"] = operation.from_sitting
    for key in ("recheck", "unless", "after"):
        if getattr(operation, key):
            entry[key] = list(getattr(operation, key))
    return entry


def _quantity_entry(quantity: Quantity) -> dict[str, object]:
    entry: dict[str, object] = {"title": quantity.title, "unit": quantity.unit}
    entry["limits"] = list(quantity.limits or ())
    entry["target"] = list(quantity.target or ())
    if quantity.precision is not None:
        entry["precision"] = quantity.precision
    return entry


def to_yaml(ruleset: Ruleset) -> str:
    """Write a ruleset of this module's kind as format 1: one line a top-level key, JSON behind it."""
    stakes, limit = ruleset.stakes, ruleset.sitting
    top: dict[str, object] = {
        "canebrake": 1,
        "id": ruleset.id,
        "title": ruleset.title,
        "version": ruleset.version,
        "clear_below": ruleset.clear_below,
        "slightly": ruleset.slightly,
        "stakes": {"never": stakes.never, "partly": stakes.partly, "fully": stakes.fully},
        "priorities": [{"id": one.id, "title": one.title, "worth": one.worth} for one in ruleset.priorities],
        "symptoms": {one.id: _finding_entry(one) for one in ruleset.symptoms},
        "signs": {one.id: _finding_entry(one) for one in ruleset.signs},
        "causes": {
            one.id: {
                "title": one.title,
                "how_common": one.how_common,
                "shows": {show.finding: show.strength for show in one.shows},
            }
            for one in ruleset.causes
        },
        "remedies": {one.id: _operation_entry(one) for one in ruleset.remedies},
        "rests": {one.id: _operation_entry(one) for one in ruleset.rests},
        "quantities": {one.id: _quantity_entry(one) for one in ruleset.quantities},
    }
    said = {"minutes": limit.minutes, "cuts": limit.cuts}
    if any(value is not None for value in said.values()):
        top["sitting"] = {key: value for key, value in said.items() if value is not None}
    empty = {key for key in ("signs", "rests", "quantities") if not top[key]}
    return "".join(f"{key}: {json.dumps(value)}\n" for key, value in top.items() if key not in empty)


def to_rounds(case: Case) -> str:
    """Write a case as a rounds file, each round with its sitting."""
    rounds = []
    for number, one in enumerate(case.rounds):
        entry: dict[str, object] = {
            "given": {finding: str(answer) for finding, answer in one.answers},
            "measure": dict(one.readings),
            "sitting": one.sitting,
        }
        if number + 1 < len(case.rounds):
            entry["then"] = None if one.gap is None else one.gap.operation
        rounds.append(entry)
    return json.dumps(rounds)


LAW = settings(
    max_examples=120,
    deadline=None,
    database=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much],
)
"""How a law is tried. Nothing is kept between runs: the tester's machine gets no folder of examples."""
