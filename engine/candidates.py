"""What may be asked or done about the active symptoms, screened to a number that can be weighed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from engine.belief import Belief
from engine.case import Case
from engine.cost import full_cost
from engine.findings import was_asked_in
from engine.futures import Changes, Futures, Rows
from engine.ground import Ground
from engine.lookahead import Budget, Choices, Question
from engine.network import Network
from engine.sequence import Option, Sequences, Target
from engine.standing import Leave, Permit, counts_now
from kb.ids import CauseId, FindingId, RemedyId
from kb.model import Finding, Priority, Remedy, Ruleset

CHEAPEST: Final = 1e-6
"""Minutes at least for a step, so that a free one can still be divided by."""


@dataclass(frozen=True, slots=True)
class Desk:
    """The situation that candidates are chosen for."""

    ruleset: Ruleset
    case: Case
    ground: Ground
    belief: Belief
    priority: Priority
    active: tuple[Finding, ...]
    """The present symptoms of the active priority."""
    permits: Mapping[RemedyId, Permit]

    @property
    def network(self) -> Network:
        """The numbers behind the names."""
        return self.ground.network

    def suspects(self) -> frozenset[int]:
        """Give the causes that show an active symptom."""
        active = {finding.id for finding in self.active}
        findings = self.network.findings
        return frozenset(
            cause
            for cause, links in enumerate(self.network.links)
            if any(findings[finding] in active for finding, _ in links)
        )


@dataclass(frozen=True, slots=True)
class Field:
    """Everything that the look-ahead weighs, with the names behind its numbers."""

    sequences: Sequences
    choices: Choices
    findings: tuple[FindingId, ...]
    """By watched number: the active symptoms, then the questions."""
    operations: tuple[RemedyId, ...]
    """By option."""


def lay_out(desk: Desk, budget: Budget) -> Field:
    """Choose candidates and make them ready for weighing."""
    suspects = frozenset(desk.network.causes[cause] for cause in desk.suspects())
    operations = promising(desk.ruleset, desk.belief, desk.permits, suspects, budget.operations)
    asked = _questions(desk, operations, budget.screened)
    findings = tuple(finding.id for finding in (*desk.active, *asked))
    # Two columns for each operation, 1 + 2n and 2 + 2n: the second is for its stand-in.
    changes = Changes.of(desk.network, [one for one in operations for _ in range(2)])
    watched = desk.network.numbers(findings)
    futures = Futures(desk.ground, watched, changes, frozenset(range(len(desk.active))))
    waits = [
        sum(1 << findings.index(finding) for finding in desk.permits[operation.id].pending)
        for operation in operations
    ]
    futures = futures.with_changes(_with_stand_ins(changes, futures, waits))
    rows: list[tuple[RemedyId, Option, int, bool]] = []
    for number, operation in enumerate(operations):
        permit = desk.permits[operation.id]
        cost = max(CHEAPEST, full_cost(desk.ruleset, operation, desk.belief.chance))
        real = len(rows)
        rows.append((operation.id, Option(1 + 2 * number, cost, permit.times), waits[number], False))
        if waits[number]:
            asking = sum(desk.ruleset.finding[finding].minutes for finding in permit.pending)
            # Once only: what forbids it does not change by trying again.
            stand_in = Option(2 + 2 * number, cost + asking, 1, shares=real)
            rows.append((operation.id, stand_in, waits[number], True))
    names = tuple(name for name, _, _, _ in rows)
    questions = _as_questions(desk, asked, findings, names, waits)
    choices = Choices(
        questions=questions,
        options=tuple(_blocked(option, desk.permits[name].blocked_by, names) for name, option, _, _ in rows),
        first=tuple(
            at
            for at, name in enumerate(names)
            if desk.permits[name].leave is Leave.FREE and not desk.permits[name].blocked_by
        ),
        waits=tuple(wait for _, _, wait, _ in rows),
        stands_in=tuple(stands_in for _, _, _, stands_in in rows),
    )
    target = Target(tuple(range(len(desk.active))), desk.priority.worth)
    return Field(Sequences(futures, choices.options, target), choices, findings, names)


def _as_questions(
    desk: Desk,
    asked: Sequence[Finding],
    findings: Sequence[FindingId],
    names: Sequence[RemedyId],
    waits: Sequence[int],
) -> tuple[Question, ...]:
    """Give each finding as a question, and all that one operation waits for as one more."""

    def forbidden_by(ids: Sequence[FindingId]) -> int:
        return sum(
            1 << at for at, name in enumerate(names) if set(ids) <= set(desk.ruleset.operation[name].unless)
        )

    alone = [
        Question((findings.index(finding.id),), finding.minutes, forbidden_by([finding.id]))
        for finding in asked
    ]
    together = []
    for bits in sorted({wait for wait in waits if wait.bit_count() > 1}):
        numbers = tuple(number for number in range(len(findings)) if bits >> number & 1)
        ids = [findings[number] for number in numbers]
        cost = sum(desk.ruleset.finding[id_].minutes for id_ in ids)
        together.append(Question(numbers, cost, forbidden_by(ids)))
    return (*alone, *together)


def promising(
    ruleset: Ruleset,
    belief: Belief,
    permits: Mapping[RemedyId, Permit],
    suspects: frozenset[CauseId],
    most: int,
) -> tuple[Remedy, ...]:
    """Give the operations that may mend a suspect, the most promising for their cost, by id.

    Those that mend most are among them whatever they cost, since many cheap tries would crowd out the
    mending; and those that one of them has to wait for, whatever they promise.
    """
    promise: dict[RemedyId, float] = {}
    mending: dict[RemedyId, float] = {}
    for operation in ruleset.operations:
        if permits[operation.id].leave is Leave.FORBIDDEN:
            continue
        cured = sorted((one for one in operation.cures if one.cause in suspects), key=lambda one: one.cause)
        mended = sum((effect.chance * belief.chance(effect.cause) for effect in cured), 0.0)
        if mended > 0.0:
            mending[operation.id] = mended
            promise[operation.id] = mended / max(CHEAPEST, full_cost(ruleset, operation, belief.chance))
    surest = sorted(mending, key=lambda id_: (-mending[id_], id_))[: most // 4]
    rest = [id_ for id_ in sorted(promise, key=lambda id_: (-promise[id_], id_)) if id_ not in surest]
    chosen = {*surest, *rest[: most - len(surest)]}
    chosen |= {earlier for id_ in tuple(chosen) for earlier in permits[id_].blocked_by}
    return tuple(ruleset.operation[id_] for id_ in sorted(chosen))


def _questions(desk: Desk, operations: Sequence[Remedy], most: int) -> tuple[Finding, ...]:
    """Give the findings worth thinking of: those that tell suspects apart, and those a remedy waits for."""
    awaited = {finding for operation in operations for finding in desk.permits[operation.id].pending}
    suspects = {desk.network.causes[cause] for cause in desk.suspects()}
    telling: dict[FindingId, float] = {}
    for cause in sorted(desk.ruleset.causes, key=lambda one: one.id):
        if cause.id in suspects:
            chance = desk.belief.chance(cause.id)
            for show in cause.shows:
                told = chance * (1.0 - chance) * show.strength**2 / desk.ruleset.finding[show.finding].minutes
                telling[show.finding] = telling.get(show.finding, 0.0) + told
    active = {finding.id for finding in desk.active}
    free = [
        id_
        for id_ in sorted(telling, key=lambda id_: (-telling[id_], id_))
        if id_ not in active and id_ not in awaited and _may_ask(desk, id_)
    ]
    awaited_first = sorted(awaited - active)
    chosen = [*awaited_first, *free[: max(0, most - len(awaited_first))]]
    return tuple(desk.ruleset.finding[id_] for id_ in sorted(chosen))


def _may_ask(desk: Desk, finding: FindingId) -> bool:
    return counts_now(desk.ruleset.finding[finding], desk.case) and not was_asked_in(
        desk.ruleset, desk.case.present, finding
    )


def _with_stand_ins(changes: Changes, futures: Futures, waits: Sequence[int]) -> Changes:
    """Scale each stand-in's cures by the chance that what it waits for is answered no."""
    waiting = [number for number, wait in enumerate(waits) if wait]
    if not waiting:
        return changes
    clear = np.array([[waits[number]] for number in waiting], dtype=np.int64)
    chances = futures.chances(Rows(np.zeros((len(waiting), 0), dtype=np.int64), clear))
    going = changes.going.copy()
    for number, chance in zip(waiting, chances, strict=True):
        going[2 + 2 * number] *= min(1.0, max(0.0, float(chance)))
    return Changes(going, changes.coming)


def _blocked(option: Option, by: Sequence[RemedyId], names: Sequence[RemedyId]) -> Option:
    bits = sum(1 << names.index(earlier) for earlier in by if earlier in names)
    return Option(option.column, option.cost, option.times, bits, option.shares)
