"""The whole account of a step: what hangs together, what is left, and which answers would turn it."""

import pytest

from engine.account import account
from engine.advice import advise
from engine.belief import believe
from engine.case import Case
from engine.together import pairs
from engine.turning import turning
from kb.ids import CauseId
from tests.support.small import NO, YES, answers, cause, effects, remedy, ruleset, sign, symptom

TWO = ruleset(
    (symptom("late"), sign("seen"), sign("felt")),
    (cause("thick", 0.2, late=0.9, seen=0.9), cause("loose", 0.2, late=0.9, felt=0.9)),
    (remedy("scrape", effects(thick=0.9)), remedy("tie", effects(loose=0.9))),
)


def test_two_causes_of_one_answer_crowd_each_other_out() -> None:
    """By hand: two causes of 0.2, both links 0.9, leak 0.02."""
    (pair,) = pairs(TWO, answers(late=YES), [CauseId("thick"), CauseId("loose")])
    clear = 0.98
    whole = 1 - clear * (0.8 + 0.2 * 0.1) ** 2
    assert pair.both == pytest.approx(0.04 * (1 - clear * 0.1**2) / whole)
    assert pair.is_either
    assert not pair.goes_together


def test_causes_that_share_nothing_are_not_tied() -> None:
    rules = ruleset(
        (symptom("late"), sign("felt")), (cause("thick", 0.2, late=0.9), cause("loose", 0.3, felt=0.9))
    )
    (pair,) = pairs(rules, answers(late=YES, felt=NO), [CauseId("thick"), CauseId("loose")])
    assert pair.both == pytest.approx(pair.apart)
    assert not pair.is_either
    assert not pair.goes_together


def test_the_smallest_change_is_one_answer_where_one_is_enough() -> None:
    case = answers(late=YES, seen=YES)
    step = advise(TWO, case).step
    assert step is not None
    assert step.id == "scrape"
    found = turning(TWO, case)
    assert found.is_whole
    assert found.turns
    for turn in found.turns:
        (change,) = turn.changes
        changed = advise(TWO, case.with_answer(change.finding, change.instead)).step
        assert changed is not None
        assert (changed.kind, changed.id) == (turn.step.kind, turn.step.id) != (step.kind, step.id)


def test_two_answers_are_named_only_where_no_single_one_turns_the_step() -> None:
    names = {"one": 0.9, "two": 0.9}
    rules = ruleset(
        (symptom("late"), *(sign(name) for name in names)),
        (cause("thick", 0.2, late=0.9, **names), cause("loose", 0.2, late=0.9)),
        (remedy("scrape", effects(thick=0.9)), remedy("tie", effects(loose=0.9))),
    )
    case = answers(late=YES, one=YES, two=YES)
    found = turning(rules, case)
    assert [sorted(change.finding for change in turn.changes) for turn in found.turns] == [["one", "two"]]
    assert found.turns[0].step.id == "tie"
    assert not turning(rules, case, most=found.weighed - 1).is_whole


def test_that_the_trouble_might_not_be_there_is_no_news() -> None:
    found = turning(TWO, answers(late=YES, seen=YES, felt=NO))
    assert all(
        change.instead.is_present
        for turn in found.turns
        for change in turn.changes
        if change.finding == "late"
    )


def test_a_search_that_was_cut_says_so() -> None:
    found = turning(TWO, answers(late=YES, seen=YES, felt=NO), most=1)
    assert found.weighed == 1
    assert not found.is_whole


def test_without_answers_nothing_can_turn() -> None:
    found = turning(TWO, Case())
    assert found.turns == ()
    assert found.is_whole


def test_what_answers_ruled_out_is_told_apart_from_what_is_possible() -> None:
    case = answers(late=YES, seen=YES, felt=NO)
    rules = ruleset(
        TWO.findings,
        (cause("thick", 0.2, late=0.9, seen=0.9), cause("loose", 0.2, late=0.9, felt=0.99)),
        TWO.operations,
    )
    told = account(rules, case, believe(rules, case)).remaining
    assert [one for one, _ in told.possible] == ["thick"]
    assert [one for one, _ in told.ruled_out] == ["loose"]
