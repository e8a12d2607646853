"""Weights of evidence, chances in words, and the sentences of advice."""

from math import inf, log

import pytest

from engine.advice import advise
from engine.belief import believe
from engine.case import Case
from engine.explain import log_odds, reasons
from engine.wording import in_words, percent
from kb.ids import CauseId, QuantityId
from kb.model import Quantity
from tests.support.small import NO, UNSURE, YES, answers, cause, effects, remedy, ruleset, sign, symptom

RULES = ruleset(
    (symptom("late"), sign("seen"), sign("wide", quantity="opening", above=1.4)),
    (cause("thick", 0.1, late=0.8, seen=0.9), cause("spread", 0.1, late=0.6, wide=0.9)),
    (remedy("scrape", effects(thick=0.8)),),
    quantities=(Quantity(QuantityId("opening"), "Opening", "mm", (0.2, 3.0), None, 0.05),),
)


def test_a_single_answer_weighs_the_ratio_of_its_chances() -> None:
    """One cause, one finding: the weight is log(P(yes | cause) / P(yes | no cause)), by hand."""
    rules = ruleset((sign("seen"),), (cause("thick", 0.1, seen=0.9),))
    (found,) = reasons(rules, answers(seen=YES))
    with_cause = 1 - (1 - 0.9) * (1 - 0.02)
    assert found.weights[0].nats == pytest.approx(log(with_cause / 0.02))


def test_each_answer_is_weighed_beside_all_the_others() -> None:
    case = answers(late=YES, seen=YES).with_reading(QuantityId("opening"), 1.2)
    thick = next(one for one in reasons(RULES, case) if one.cause == "thick")
    without = believe(RULES, answers(late=YES).with_reading(QuantityId("opening"), 1.2))
    weight = next(one for one in thick.weights if one.finding == "seen")
    assert weight.nats == pytest.approx(
        log_odds(believe(RULES, case).chance(thick.cause)) - log_odds(without.chance(thick.cause))
    )


def test_a_reading_is_weighed_as_the_sign_that_it_answers() -> None:
    case = answers(late=YES).with_reading(QuantityId("opening"), 1.6)
    spread = next(one for one in reasons(RULES, case) if one.cause == "spread")
    assert any(one.finding == "wide" and one.answer is YES and one.nats > 1 for one in spread.weights)


def test_a_sign_that_was_answered_owes_the_reading_beside_it_nothing() -> None:
    """The answer stands; the reading that would have answered the sign is not weighed a second time."""
    case = answers(late=YES, wide=NO).with_reading(QuantityId("opening"), 1.6)
    spread = next(one for one in reasons(RULES, case) if one.cause == "spread")
    assert [one.answer for one in spread.weights if one.finding == "wide"] == [NO]


def test_unsure_and_what_says_nothing_are_left_out() -> None:
    assert all(not one.weights for one in reasons(RULES, answers(seen=UNSURE)))


def test_an_answer_that_settles_it_alone_weighs_without_bound() -> None:
    rules = ruleset((sign("seen"),), (cause("thick", 0.1, seen=1.0),))
    (found,) = reasons(rules, answers(seen=NO))
    assert found.weights[0].nats == -inf


def test_answers_that_cannot_be_true_give_no_reasons() -> None:
    rules = ruleset((symptom("late", leak=0.0),), ())
    assert reasons(rules, answers(late=YES)) == ()


def test_no_chance_is_rounded_to_certainty() -> None:
    assert percent(0.999) == "over 99 %"
    assert percent(0.001) == "under 1 %"
    assert (percent(0.0), percent(1.0), percent(0.5)) == ("0 %", "100 %", "50 %")
    assert in_words(0.001) == "almost ruled out"


def test_advice_names_the_likeliest_cause_what_it_mends_and_the_next_best() -> None:
    step = advise(RULES, answers(late=YES, seen=YES)).step
    assert step is not None
    text = " ".join(step.why)
    assert "It mends “thick”" in text
    assert "Likeliest now: thick" in text
    assert "Next best:" in text


def test_a_step_for_a_cause_that_is_not_named_among_the_likeliest_says_how_likely_it_is() -> None:
    rules = ruleset(
        (symptom("late"), sign("seen")),
        (*(cause(f"c{number}", 0.3, late=0.9) for number in range(3)), cause("rare", 0.1, late=0.9)),
        (remedy("try", effects(rare=0.9)),),
    )
    step = advise(rules, answers(late=YES)).step
    assert step is not None
    assert step.id == "try"
    chance = percent(believe(rules, answers(late=YES)).chance(CauseId("rare")))
    assert f"It mends “rare” (less likely, {chance}) 90 % of the time" in step.why[0]


def test_a_large_chance_of_an_unlisted_reason_is_said() -> None:
    rules = ruleset(
        (symptom("late", leak=0.3),),
        (cause("thick", 0.02, late=0.5),),
        (remedy("scrape", effects(thick=0.9)),),
    )
    step = advise(rules, answers(late=YES)).step
    assert step is not None
    assert any("does not list" in sentence for sentence in step.why)


def test_an_empty_case_gives_the_priors() -> None:
    assert dict(believe(RULES, Case()).causes) == {"thick": pytest.approx(0.1), "spread": pytest.approx(0.1)}
