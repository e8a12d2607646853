"""Which parts can matter to one trial at all: a screen that spares most of the running.

It follows `engine.advice`. What is left out cannot change the outcome; a law holds that.
"""

from dataclasses import dataclass

from engine.case import Case
from engine.coverage.parts import Part, Sort
from engine.findings import was_asked_in
from engine.following import present_symptoms
from engine.step import Advice, Kind
from kb.ids import CauseId, FindingId, PriorityId, RemedyId
from kb.model import Expect, Ruleset


@dataclass(frozen=True, slots=True)
class Reach:
    """What one trial can hear of."""

    told: frozenset[FindingId]
    """Findings that its answers and readings speak of."""
    done: frozenset[RemedyId]
    """Operations that end its rounds."""
    by_cause: bool
    """Whether it expects nothing but a cause, so that belief alone decides."""
    by_rank: bool
    """Whether belief and the rules alone decide: it expects a priority, and no step."""
    is_open: bool
    """Whether anything may turn the step: no trouble is present, or something was done, or it is to rest."""
    suspects: frozenset[CauseId]
    """Causes that show a symptom being worked on."""
    priced: frozenset[CauseId]
    """Causes that what mends a suspect may bring, so that their price counts."""
    weighed: frozenset[FindingId]
    """Findings that may be asked about it."""
    operations: frozenset[RemedyId]
    """What mends a suspect, and what that waits for."""

    def may_notice(self, part: Part) -> bool:
        """Whether the loss of `part` can change what the trial comes to."""
        if part.sort is Sort.SHOWS:
            return self._may_notice_link(CauseId(part.of), FindingId(part.to))
        operation = RemedyId(part.of)
        if operation in self.done:
            return True
        if self.by_cause or self.by_rank:
            return False
        if self.is_open or operation in self.operations:
            return True
        return part.sort is Sort.CURES and part.to in self.priced

    def _may_notice_link(self, cause: CauseId, finding: FindingId) -> bool:
        if finding in self.told:
            return True
        if self.by_cause:
            return False
        return self.is_open or cause in self.suspects | self.priced or finding in self.weighed


def reach_of(ruleset: Ruleset, case: Case, expect: Expect, advice: Advice) -> Reach:
    """Work out what a trial can hear of, from what it came to with nothing lost."""
    present = _present(ruleset, case, advice.priority)
    suspects = _showing(ruleset, present)
    operations = _with_earlier(
        ruleset,
        {one.id for one in ruleset.operations if any(effect.cause in suspects for effect in one.cures)},
    )
    chosen = [ruleset.operation[id_] for id_ in operations]
    wants_step = bool(expect.step or expect.not_step)
    wants_priority = expect.priority is not None or expect.all_clear
    has_gap = any(one.gap is not None for one in case.rounds)
    return Reach(
        told=_told(ruleset, case),
        done=frozenset(
            one.gap.operation for one in case.rounds if one.gap is not None and one.gap.operation is not None
        ),
        by_cause=not wants_step and not wants_priority,
        by_rank=not wants_step,
        is_open=not present or has_gap or advice.step is None or advice.step.kind is Kind.REST,
        suspects=suspects,
        priced=frozenset(effect.cause for one in chosen for effect in one.provokes),
        weighed=frozenset(show.finding for id_ in suspects for show in ruleset.cause[id_].shows)
        | frozenset(finding for one in chosen for finding in one.unless),
        operations=operations,
    )


def _present(ruleset: Ruleset, case: Case, priority: PriorityId | None) -> frozenset[FindingId]:
    if priority is None:
        return frozenset()
    return frozenset(finding.id for finding in present_symptoms(ruleset, case, priority))


def _showing(ruleset: Ruleset, findings: frozenset[FindingId]) -> frozenset[CauseId]:
    return frozenset(
        cause.id for cause in ruleset.causes if any(show.finding in findings for show in cause.shows)
    )


def _told(ruleset: Ruleset, case: Case) -> frozenset[FindingId]:
    """Give the findings that an answer or a reading speaks of, in any round."""
    return frozenset(
        finding.id
        for finding in ruleset.findings
        if any(was_asked_in(ruleset, one, finding.id) for one in case.rounds)
    )


def _with_earlier(ruleset: Ruleset, operations: set[RemedyId]) -> frozenset[RemedyId]:
    found, ahead = set(operations), list(operations)
    while ahead:
        for earlier in ruleset.operation[ahead.pop()].after:
            if earlier not in found:
                found.add(earlier)
                ahead.append(earlier)
    return frozenset(found)
