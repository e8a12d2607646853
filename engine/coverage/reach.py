"""Which parts can matter to one trial at all: a screen that spares most of the running.

It follows `engine.advice`. What is left out cannot change the outcome; a law holds that.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from engine.candidates import promising
from engine.case import Case
from engine.coverage.parts import Part, Sort
from engine.findings import told_in, was_asked_in
from engine.following import present_symptoms
from engine.lookahead import Budget
from engine.standing import Leave, permits, priority_order
from engine.step import Advice, Kind
from engine.trial import SAME
from kb.ids import CauseId, FindingId, PriorityId, RemedyId
from kb.model import Answer, Expect, Ruleset


@dataclass(frozen=True, slots=True)
class Reach:
    """What one trial can hear of."""

    told: frozenset[FindingId]
    """Findings that its answers and readings speak of."""
    loud: frozenset[FindingId]
    """Of these, those that are not answered no: what shows, and what a reading leaves open."""
    heard: frozenset[CauseId]
    """Causes that show something loud. All others hang together with nothing that is known."""
    awaited: frozenset[FindingId]
    """Findings not told of whose chance may count: they may be asked, or belong to a priority up to the
    one being worked on."""
    priors: Mapping[CauseId, float]
    expected: float
    """Chance of the cause that it expects; above 1 if it expects none."""
    done: frozenset[RemedyId]
    """Operations that end its rounds."""
    by_cause: bool
    """Whether it expects nothing but a cause, so that belief alone decides."""
    by_rank: bool
    """Whether belief and the rules alone decide: it expects a priority, and no step."""
    is_open: bool
    """Whether anything may turn the step: something was done before, or it is to rest. Else, where no
    trouble is present, no operation is weighed, and only what may show counts."""
    suspects: frozenset[CauseId]
    """Causes that show a symptom being worked on."""
    priced: frozenset[CauseId]
    """Causes that what mends a suspect may bring, so that their price counts."""
    shown: Mapping[CauseId, frozenset[FindingId]]
    operations: frozenset[RemedyId]
    """What mends a suspect, and what that waits for."""
    conditional: frozenset[RemedyId]
    """Operations whose conditions can matter: those that are weighed, what these may wait for, and those
    that are forbidden now. All others promise too little to be weighed, with or without a condition."""

    def may_notice(self, part: Part) -> bool:
        """Whether the loss of `part` can change what the trial comes to."""
        if part.sort is Sort.SHOWS:
            return self._may_notice_link(CauseId(part.of), FindingId(part.to))
        operation = RemedyId(part.of)
        if operation in self.done:
            return True
        if self.by_cause or self.by_rank:
            return False
        if part.sort in {Sort.UNLESS, Sort.AFTER}:
            return operation in self.conditional
        if self.is_open or operation in self.operations:
            return True
        return part.sort is Sort.CURES and part.to in self.priced

    def _may_notice_link(self, cause: CauseId, finding: FindingId) -> bool:
        if finding in self.loud or self.is_open:
            return finding in self.told or not self.by_cause
        if finding in self.told:
            return cause in self.heard or self._may_notice_rise(cause)
        return not self.by_cause and (cause in self.suspects | self.priced or finding in self.awaited)

    def _may_notice_rise(self, cause: CauseId) -> bool:
        """Whether it can matter that a cause is no longer spoken against by a no.

        It hangs together with nothing that shows, so only its own chance rises, to its prior at most.
        """
        if self.priors[cause] >= self.expected * (1.0 - SAME):
            return True
        return not self.by_cause and (cause in self.priced or not self.awaited.isdisjoint(self.shown[cause]))


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
    told = _told(ruleset, case)
    loud = frozenset(id_ for id_ in told if not _is_no(ruleset, case, id_))
    weighed = frozenset(show.finding for id_ in suspects for show in ruleset.cause[id_].shows) | frozenset(
        finding for one in chosen for finding in one.unless
    )
    order = priority_order(ruleset)
    here = len(order) if advice.priority is None else order[advice.priority]
    ranked = frozenset(
        finding.id
        for finding in ruleset.findings
        if finding.priority is not None and order[finding.priority] <= here
    )
    has_gap = any(one.gap is not None for one in case.rounds)
    return Reach(
        told=told,
        loud=loud,
        heard=_showing(ruleset, loud),
        awaited=(weighed | ranked) - told,
        priors={cause.id: cause.how_common for cause in ruleset.causes},
        shown={cause.id: frozenset(show.finding for show in cause.shows) for cause in ruleset.causes},
        expected=2.0 if expect.cause is None else advice.belief.chance(expect.cause),
        done=frozenset(
            one.gap.operation for one in case.rounds if one.gap is not None and one.gap.operation is not None
        ),
        by_cause=not wants_step and not wants_priority,
        by_rank=not wants_step,
        is_open=has_gap or advice.step is None or advice.step.kind is Kind.REST,
        suspects=suspects,
        priced=frozenset(effect.cause for one in chosen for effect in one.provokes),
        operations=operations,
        conditional=_conditional(ruleset, case, advice, present),
    )


def _conditional(
    ruleset: Ruleset, case: Case, advice: Advice, present: frozenset[FindingId]
) -> frozenset[RemedyId]:
    """Give the operations whose conditions can matter: all, where rests are chosen or too much is present."""
    budget = Budget()
    if advice.step is None or advice.step.kind is Kind.REST or len(present) > budget.symptoms:
        return frozenset(one.id for one in ruleset.operations)
    leave = permits(ruleset, case, advice.belief.chance, sorted(present), None)
    suspects = _showing(ruleset, present)
    weighed = promising(ruleset, advice.belief, leave, suspects, budget.operations)
    forbidden = {id_ for id_, permit in leave.items() if permit.leave is Leave.FORBIDDEN}
    return _with_earlier(ruleset, {one.id for one in weighed}) | forbidden


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


def _is_no(ruleset: Ruleset, case: Case, finding: FindingId) -> bool:
    """Whether a finding is answered by no alone, and by no reading. Unsure says nothing."""
    told = [told_in(ruleset, one, finding) for one in case.rounds]
    answered = [one.answer(finding) for one in case.rounds]
    return all(answer in {None, Answer.NO, Answer.UNSURE} for answer in answered) and all(
        answer is None or (own is not None and own.is_told)
        for answer, own in zip(told, answered, strict=True)
    )


def _with_earlier(ruleset: Ruleset, operations: set[RemedyId]) -> frozenset[RemedyId]:
    found, ahead = set(operations), list(operations)
    while ahead:
        for earlier in ruleset.operation[ahead.pop()].after:
            if earlier not in found:
                found.add(earlier)
                ahead.append(earlier)
    return frozenset(found)
