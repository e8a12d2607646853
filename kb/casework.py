"""Charts and trials become values: what an author draws and works by hand.

Separate from `kb.build` because both are small languages of their own, with names that only
they know (the steps of a chart, the words that a trial may expect).
"""

from collections.abc import Iterable, Mapping
from typing import Final

from kb.ids import CauseId, ChartId, ChartStepId, FindingId, PriorityId, QuantityId, RemedyId
from kb.model import (
    Answer,
    AskStep,
    Chart,
    DoStep,
    Ending,
    Expect,
    GivenRound,
    Quantity,
    StopStep,
    Trial,
)
from kb.naming import Entry, Kind, Names, entries
from kb.problem import CheckName
from kb.text import Span
from kb.value import Place, Value

IMPOSSIBLE_NUMBER: Final = CheckName("impossible-number")
GIVEN_TWICE: Final = CheckName("given-twice")

STEPS: Final = ("ready", "accept", "set-aside", "rest")
"""What a trial may expect besides ids; `rest` is any rest."""


def charts(tree: Value, names: Names) -> tuple[Chart, ...]:
    """Build the charts, in the file's order."""
    return tuple(_chart(entry) for entry in entries(tree, "charts", names))


def _chart(entry: Entry) -> Chart:
    steps = entries(entry.place.value, "steps", entry.names)
    known = {step.id: step.place.key for step in steps}
    for step in steps:
        entry.names.reserve(step.id, step.place.key)
    complaints = len(entry.names.problems)
    start = _goes_to(entry, "start", known) or ChartStepId(next(iter(known), ""))
    made = tuple(one for step in steps if (one := _step(step, known)) is not None)
    if len(entry.names.problems) > complaints:
        entry.names.suspects.add(entry.id)  # a way was lost: no step is said to be out of reach
    return Chart(
        ChartId(entry.id),
        entry.text("title", entry.id),
        start,
        made,
        entry.allowances(),
        entry.place,
    )


def _step(step: Entry, known: Mapping[str, Span]) -> AskStep | DoStep | StopStep | None:
    """Build a step, with every way that leads on from it; None when what it does is not known."""
    name = ChartStepId(step.id)
    ways = {key: _goes_to(step, key, known) for key in ("yes", "no", "slightly", "unsure", "then")}
    if step.get("ask") is not None:
        finding = step.one(Kind.FINDING, "ask")
        slightly = ways["slightly"] if step.get("slightly") is not None else ways["yes"]
        if finding is None:
            return None
        return AskStep(
            name, FindingId(finding), ways["yes"], ways["no"], slightly, ways["unsure"], step.place
        )
    if step.get("do") is not None:
        remedy = step.one(Kind.OPERATION, "do")
        return None if remedy is None else DoStep(name, RemedyId(remedy), ways["then"], step.place)
    stop = step.text("stop")
    return StopStep(name, Ending(stop), step.place) if stop else None


def _goes_to(step: Entry, key: str, known: Mapping[str, Span]) -> ChartStepId | None:
    value = step.get(key)
    if value is None or not isinstance(value.data, str):
        return None
    if value.data in known:
        return ChartStepId(value.data)
    step.names.unknown(value.span, f"this chart has no step {value.data!r}", value.data, known)
    return None


def trials(tree: Value, names: Names, quantities: Iterable[Quantity]) -> tuple[Trial, ...]:
    """Build the trials, in the file's order."""
    section = tree.get("trials")
    by_id = {quantity.id: quantity for quantity in quantities}
    return tuple(
        _trial(Entry("", Place(item.span, item), names), by_id)
        for item in (section.items() if section is not None else ())
    )


def _trial(entry: Entry, quantities: dict[QuantityId, Quantity]) -> Trial:
    rounds = entry.get("rounds")
    at_once = [key for key in ("given", "measure", "sitting") if entry.get(key) is not None]
    if rounds is not None and at_once:
        entry.names.complain(
            entry.place.key_of(at_once[0]),
            GIVEN_TWICE,
            f"this trial has rounds, and {at_once[0]} beside them",
            "write it inside the round that it belongs to",
        )
    if rounds is not None:
        stood = tuple(Entry("", Place(item.span, item), entry.names) for item in rounds.items())
    else:
        stood = (entry,) if {"given", "measure"} & set(at_once) else ()
    _no_way_back(stood)
    return Trial(
        entry.text("title"), tuple(_round(one, quantities) for one in stood), _expect(entry), entry.place
    )


def _round(entry: Entry, quantities: dict[QuantityId, Quantity]) -> GivenRound:
    then = entry.one(Kind.OPERATION, "then")
    given = entry.get("given")
    return GivenRound(
        tuple(
            (FindingId(pair.key), Answer(str(pair.value.data)))
            for pair in (given.pairs() if given is not None else ())
            if entry.names.refer(Kind.FINDING, pair.key, pair.key_span) and isinstance(pair.value.data, str)
        ),
        _readings(entry, quantities),
        None if then is None else RemedyId(then),
        entry.whole("sitting", 0) or None,
    )


def _readings(entry: Entry, quantities: dict[QuantityId, Quantity]) -> tuple[tuple[QuantityId, float], ...]:
    found = []
    value = entry.get("measure")
    for pair in value.pairs() if value is not None else ():
        reading = pair.value.data
        if not entry.names.refer(Kind.QUANTITY, pair.key, pair.key_span) or not isinstance(
            reading, int | float
        ):
            continue
        quantity = quantities[QuantityId(pair.key)]
        if quantity.limits is not None and not quantity.limits[0] <= reading <= quantity.limits[1]:
            low, high = quantity.limits
            entry.names.complain(
                pair.value.span,
                IMPOSSIBLE_NUMBER,
                f"a reading of {reading:g} lies outside the limits of {pair.key!r}, {low:g} and {high:g}",
                "widen the limits, or change the reading",
            )
        found.append((QuantityId(pair.key), float(reading)))
    return tuple(found)


def _no_way_back(rounds: tuple[Entry, ...]) -> None:
    """Say so when a round belongs to an earlier sitting than the one before it."""
    latest = 1
    for entry in rounds:
        sitting = entry.whole("sitting", latest)
        if sitting < latest:
            entry.names.complain(
                entry.place.of("sitting"),
                IMPOSSIBLE_NUMBER,
                f"this round is at sitting {sitting}, and the one before it at sitting {latest}",
                "rounds stand oldest first",
            )
        latest = max(latest, sitting)


def _expect(entry: Entry) -> Expect:
    value = entry.get("expect")
    if value is None:
        return Expect()
    wanted = Entry("", Place(value.span, value), entry.names)
    cause = wanted.one(Kind.CAUSE, "cause")
    priority = wanted.one(Kind.PRIORITY, "priority")
    written = value.get("priority")
    return Expect(
        None if cause is None else CauseId(cause),
        _steps(wanted, "step"),
        _steps(wanted, "not_step"),
        None if priority is None else PriorityId(priority),
        all_clear=written is not None and written.data is None,
    )


def _steps(wanted: Entry, key: str) -> tuple[str, ...]:
    names = wanted.names
    value = wanted.get(key)
    found = []
    for item in value.items() if value is not None else ():
        if not isinstance(item.data, str):
            continue
        name = item.data
        if name in STEPS or name in names.ids[Kind.FINDING] or name in names.ids[Kind.OPERATION]:
            found.append(name)
        else:
            known = (*STEPS, *names.ids[Kind.FINDING], *names.ids[Kind.OPERATION])
            names.unknown(item.span, f"no step is called {name!r}", name, known)
    return tuple(dict.fromkeys(found))
