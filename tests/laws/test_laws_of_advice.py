"""What must hold of advice whatever the ruleset: laws, tried on made-up rulesets and cases."""

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from engine.advice import advise
from engine.case import Case
from engine.step import Advice, Kind
from kb.ids import FindingId, RemedyId
from kb.model import Answer, Ending, Finding, Ruleset, Undo
from tests.support.brute import gone_after, judge, latest
from tests.support.strategies import LAW, reordered, situations

Situation = tuple[Ruleset, Case]
seeds = st.integers(0, 2**32)


def asked_in(ruleset: Ruleset, case: Case) -> set[str]:
    """Give what was answered in the present round, by word (unsure too) or by a reading."""
    read = {quantity for quantity, _ in case.present.readings}
    by_reading = {
        finding.id for finding in ruleset.findings if getattr(finding.read, "quantity", None) in read
    }
    return {str(id_) for id_, _ in case.present.answers} | {str(id_) for id_ in by_reading}


def active_symptoms(ruleset: Ruleset, case: Case, advice: Advice) -> list[Finding]:
    """Give the present symptoms of the active priority."""
    found = []
    for finding in ruleset.findings:
        told = latest(ruleset, case, finding.id)
        counts = case.sitting >= finding.counts_from_sitting
        if finding.priority == advice.priority and counts and told is not None and told[1].is_present:
            found.append(finding)
    return found


@LAW
@given(situations())
def test_advice_is_given_for_every_possible_case_and_only_for_those(situation: Situation) -> None:
    ruleset, case = situation
    advice = advise(ruleset, case)
    if judge(ruleset, case).evidence == 0:
        assert advice.step is None
        assert advice.disagree
        return
    assert advice.step is not None
    assert advice.step.why
    assert (advice.ranked[0].kind, advice.ranked[0].id) == (advice.step.kind, advice.step.id)
    costs = [one.cost for one in advice.ranked if one.cost is not None]
    assert costs == pytest.approx(sorted(costs), rel=1e-6)
    # A look that comes first stands before what is weighed, and may be among that as well.
    assert len({(one.kind, one.id) for one in advice.ranked if one.cost is not None}) == len(costs)


@LAW
@given(situations())
def test_nothing_is_asked_that_was_answered_in_this_round(situation: Situation) -> None:
    ruleset, case = situation
    advice = advise(ruleset, case)
    asked = {one.id for one in advice.ranked if one.kind is Kind.ASK}
    assert not asked & asked_in(ruleset, case)


@LAW
@given(situations(), seeds)
def test_advice_does_not_depend_on_the_order_of_the_file(situation: Situation, seed: int) -> None:
    ruleset, case = situation
    other = reordered(ruleset, seed)
    here, there = advise(ruleset, case), advise(other, case)
    # The reasons may name symptoms in the author's order; what is advised may not follow it.
    assert here.priority == there.priority
    assert (here.step is None) == (there.step is None)
    assert [(one.kind, one.id) for one in here.ranked] == [(one.kind, one.id) for one in there.ranked]


@LAW
@given(situations())
def test_no_remedy_is_proposed_that_a_hard_constraint_forbids(situation: Situation) -> None:
    ruleset, case = situation
    advice = advise(ruleset, case)
    sitting = case.in_sitting()
    for one in advice.ranked:
        if one.kind is not Kind.DO:
            continue
        remedy = ruleset.operation[RemedyId(one.id)]
        done = sum(round_.gap is not None and round_.gap.operation == remedy.id for round_ in sitting)
        assert done < remedy.at_most
        for finding in remedy.unless:
            told = latest(ruleset, case, finding)
            assert told is None or not told[1].is_present or _is_early(ruleset, case, finding)
            if remedy.undo is Undo.NEVER:
                assert any(_is_answered(ruleset, round_case, finding) for round_case in _each(sitting))


def _each(rounds: tuple[object, ...]) -> list[Case]:
    return [Case((one,)) for one in rounds]  # type: ignore[arg-type]


def _is_answered(ruleset: Ruleset, case: Case, finding: FindingId) -> bool:
    return finding in asked_in(ruleset, case)


def _is_early(ruleset: Ruleset, case: Case, finding: FindingId) -> bool:
    told = latest(ruleset, case, finding)
    return told is not None and case.rounds[told[0]].sitting < ruleset.finding[finding].counts_from_sitting


@LAW
@given(situations())
def test_stopping_costs_the_worth_of_what_is_left(situation: Situation) -> None:
    ruleset, case = situation
    advice = advise(ruleset, case)
    stop = next((one for one in advice.ranked if one.kind is Kind.STOP and one.id != Ending.READY), None)
    assume(stop is not None and stop.cost is not None and advice.priority is not None)
    assert stop is not None
    assert advice.priority is not None
    active = [finding.id for finding in active_symptoms(ruleset, case, advice)]
    assume(active and not any(_is_early(ruleset, case, id_) for id_ in active))
    gone = gone_after(ruleset, case, active, []).all_of_them
    assert stop.cost == pytest.approx((1 - gone) * ruleset.priority[advice.priority].worth, abs=1e-7)
    assert stop.id == (Ending.SET_ASIDE if advice.priority == ruleset.priorities[0].id else Ending.ACCEPT)


@LAW
@given(situations())
def test_ready_is_said_only_when_nothing_is_present(situation: Situation) -> None:
    ruleset, case = situation
    advice = advise(ruleset, case)
    assume(advice.step is not None and advice.step.id == Ending.READY)
    assert advice.priority is None
    for finding in ruleset.findings:
        told = latest(ruleset, case, finding.id)
        if finding.priority is not None and told is not None and case.sitting >= finding.counts_from_sitting:
            assert told[1] is Answer.NO or _is_early(ruleset, case, finding.id) or _is_soft(ruleset, finding)


def _is_soft(ruleset: Ruleset, finding: Finding) -> bool:
    quantity = getattr(finding.read, "quantity", None)
    return quantity is not None and ruleset.quantity[quantity].precision is not None
