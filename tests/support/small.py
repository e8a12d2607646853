"""Named small rulesets, and a short way to write cases and log entries about them."""

from engine.case import Case
from kb.ids import CauseId, FindingId, PriorityId, QuantityId, RemedyId, RulesetId
from kb.log.entry import Entry, EntryId, ReedId, What
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
    SittingLimit,
    Undo,
)

YES, SLIGHTLY, NO, UNSURE = Answer.YES, Answer.SLIGHTLY, Answer.NO, Answer.UNSURE
RESPONSE, STABILITY = PriorityId("response"), PriorityId("stability")

NO_LIMIT = SittingLimit()
UNKNOWN = Case()


def symptom(
    id_: str, priority: PriorityId = RESPONSE, *, leak: float = 0.02, from_sitting: int = 1
) -> Finding:
    """Make a symptom that takes a minute to try."""
    return Finding(
        FindingId(id_), id_, f"{id_}?", priority=priority, leak=leak, counts_from_sitting=from_sitting
    )


def sign(id_: str, *, minutes: float = 1.0, quantity: str = "", above: float = 0.0) -> Finding:
    """Make a sign without a priority, perhaps read off a quantity."""
    read = QuantityRead(QuantityId(quantity), Edge.ABOVE, above, above) if quantity else None
    return Finding(FindingId(id_), id_, f"{id_}?", is_sign=True, minutes=minutes, read=read)


def cause(id_: str, chance: float, **shows: float) -> Cause:
    """Make a cause; findings' ids are written with _ for -."""
    links = tuple(Show(FindingId(name.replace("_", "-")), strength) for name, strength in shows.items())
    return Cause(CauseId(id_), id_, chance, links)


def effects(**chances: float) -> tuple[Effect, ...]:
    """Write what an operation cures or provokes."""
    return tuple(Effect(CauseId(name.replace("_", "-")), chance) for name, chance in chances.items())


def remedy(  # noqa: PLR0913 - a remedy has many sides
    id_: str,
    cures: tuple[Effect, ...],
    provokes: tuple[Effect, ...] = (),
    *,
    undo: Undo = Undo.FULLY,
    minutes: float = 2.0,
    recheck: tuple[str, ...] = (),
    unless: tuple[str, ...] = (),
    after: tuple[str, ...] = (),
    at_most: int = 3,
    from_sitting: int = 1,
) -> Remedy:
    """Make a remedy."""
    return Remedy(
        RemedyId(id_),
        id_,
        f"do {id_}",
        cures=cures,
        provokes=provokes,
        undo=undo,
        minutes=minutes,
        recheck=tuple(FindingId(one) for one in recheck),
        unless=tuple(FindingId(one) for one in unless),
        after=tuple(RemedyId(one) for one in after),
        at_most=at_most,
        from_sitting=from_sitting,
    )


def night(cures: tuple[Effect, ...] = ()) -> Remedy:
    """Make a rest until the next day."""
    return Remedy(
        RemedyId("night"),
        "night",
        "leave it",
        is_rest=True,
        cures=cures,
        minutes=20,
        hours=12,
        new_sitting=True,
    )


def ruleset(
    findings: tuple[Finding, ...],
    causes: tuple[Cause, ...],
    operations: tuple[Remedy, ...] = (),
    *,
    opening: tuple[str, ...] = (),
    limit: SittingLimit = NO_LIMIT,
    quantities: tuple[Quantity, ...] = (),
    overview: str = "",
) -> Ruleset:
    """Make a ruleset with two priorities, response (worth 120) before stability (worth 60)."""
    return Ruleset(
        RulesetId("small"),
        "Small",
        "1.0.0",
        priorities=(
            Priority(RESPONSE, "Response", goal="It starts", ask=overview),
            Priority(STABILITY, "Stability", goal="It stays", worth=60.0),
        ),
        findings=findings,
        causes=causes,
        operations=operations,
        opening=tuple(FindingId(one) for one in opening),
        sitting=limit,
        quantities=quantities,
    )


def answers(case: Case = UNKNOWN, **given: Answer) -> Case:
    """Add answers to the present round; findings' ids are written with _ for -."""
    for name, answer in given.items():
        case = case.with_answer(FindingId(name.replace("_", "-")), answer)
    return case


def entry(number: int, what: What) -> Entry:
    """Make a log entry of the only reed."""
    return Entry(EntryId(f"e{number}"), ReedId("reed"), "2026-11-20T10:00:00+01:00", None, what)
