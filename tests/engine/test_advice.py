"""The order in which trouble is settled, and what the rules forbid."""

import pytest

from engine.advice import advise
from engine.case import Case
from engine.lookahead import Budget
from engine.step import ANY_REST, Kind
from kb.ids import FindingId, RemedyId
from kb.model import Ruleset, SittingLimit, Undo
from tests.support.small import (
    NO,
    SLIGHTLY,
    STABILITY,
    UNSURE,
    YES,
    answers,
    cause,
    effects,
    night,
    remedy,
    ruleset,
    sign,
    symptom,
)

STARTS_LATE, SAGS = symptom("late"), symptom("sags", STABILITY)


def step_of(rules: Ruleset, case: Case) -> tuple[str, str]:
    step = advise(rules, case).step
    assert step is not None
    return step.kind, step.id


def simple(**more: object) -> Ruleset:
    return ruleset(
        (STARTS_LATE, SAGS, sign("thick-look")),
        (cause("thick", 0.1, late=0.8, thick_look=0.9), cause("thin", 0.1, sags=0.8)),
        (
            remedy("scrape", effects(thick=0.8), undo=Undo.NEVER),
            remedy("squeeze", effects(thin=0.6), minutes=1.0),
        ),
        **more,  # type: ignore[arg-type]
    )


def test_nothing_known_asks_a_symptom_of_the_first_priority() -> None:
    advice = advise(simple(), Case())
    assert (advice.step and advice.step.id, advice.priority, advice.opens) == ("late", "response", True)
    assert advice.ranked[0].cost is None


def test_the_first_priority_is_settled_before_the_second_is_looked_at() -> None:
    assert advise(simple(), answers(late=YES, sags=YES)).priority == "response"
    assert advise(simple(), answers(late=NO, sags=YES)).priority == "stability"


def test_behind_an_open_question_stands_the_work_on_the_trouble_that_is_known() -> None:
    """Asking comes first, with no cost; then what would be done if the earlier priority proved clear."""
    rules = simple()
    first, *behind = advise(rules, answers(sags=YES)).ranked
    assert (first.kind, first.id, first.cost) == (Kind.ASK, "late", None)
    wanted = advise(rules, answers(late=NO, sags=YES)).ranked
    assert [(one.kind, one.id) for one in behind] == [(one.kind, one.id) for one in wanted]
    assert advise(rules, answers(sags=YES), in_full=False).ranked == (first,)


def test_all_clear_is_ready() -> None:
    advice = advise(simple(), answers(late=NO, sags=NO))
    assert (advice.priority, advice.step and advice.step.kind, advice.step and advice.step.id) == (
        None,
        "stop",
        "ready",
    )


def test_unsure_on_every_symptom_counts_as_clear_and_says_so() -> None:
    advice = advise(simple(), answers(late=UNSURE, sags=NO))
    assert advice.step is not None
    assert advice.step.id == "ready"
    assert any("unsure" in sentence for sentence in advice.step.why)


def test_a_priority_none_of_whose_symptoms_counts_yet_is_clear() -> None:
    rules = ruleset(
        (STARTS_LATE, symptom("sags", STABILITY, from_sitting=3)), (cause("thin", 0.1, sags=0.8),)
    )
    assert step_of(rules, answers(late=NO)) == ("stop", "ready")
    assert step_of(rules, answers(Case().with_sitting(3), late=NO)) == ("ask", "sags")


def test_a_remedy_that_cannot_be_undone_waits_for_what_forbids_it() -> None:
    rules = ruleset(
        (STARTS_LATE, sign("rails-thin")),
        (cause("thick", 0.2, late=0.9),),
        (remedy("scrape", effects(thick=0.9), undo=Undo.NEVER, unless=("rails-thin",)),),
    )
    assert step_of(rules, answers(late=YES)) == ("ask", "rails-thin")
    assert step_of(rules, answers(late=YES, rails_thin=NO)) == ("do", "scrape")
    for forbidding in (YES, SLIGHTLY):
        assert step_of(rules, answers(late=YES, rails_thin=forbidding)) == ("stop", "set-aside")


def test_several_looks_that_a_remedy_waits_for_are_asked_one_after_another() -> None:
    looks = ("one", "two", "three")
    rules = ruleset(
        (STARTS_LATE, *map(sign, looks)),
        (cause("thick", 0.2, late=0.9),),
        (remedy("scrape", effects(thick=0.9), undo=Undo.NEVER, unless=looks),),
    )
    case = answers(late=YES)
    for _ in looks:
        kind, id_ = step_of(rules, case)
        assert kind == "ask"
        case = answers(case, **{id_: NO})
    assert step_of(rules, case) == ("do", "scrape")


def test_a_look_of_another_sitting_does_not_free_a_remedy() -> None:
    rules = ruleset(
        (STARTS_LATE, sign("rails-thin")),
        (cause("thick", 0.2, late=0.9),),
        (remedy("scrape", effects(thick=0.9), undo=Undo.NEVER, unless=("rails-thin",)),),
    )
    case = answers(late=YES, rails_thin=NO).with_gap(None, new_sitting=True)
    assert step_of(rules, answers(case, late=YES)) == ("ask", "rails-thin")


def test_after_holds_back_until_the_earlier_remedy_was_done() -> None:
    rules = ruleset(
        (STARTS_LATE,),
        (cause("slack", 0.2, late=0.8), cause("thick", 0.2, late=0.8)),
        (
            remedy("tighten", effects(slack=0.8), minutes=30.0),
            remedy("scrape", effects(thick=0.8), after=("tighten",)),
        ),
    )
    assert step_of(rules, answers(late=YES)) == ("do", "tighten")
    done = answers(answers(late=YES).with_gap(RemedyId("tighten"), new_sitting=False), late=YES)
    assert step_of(rules, done) == ("do", "scrape")


def test_a_remedy_is_not_repeated_past_its_number_in_one_sitting() -> None:
    rules = ruleset(
        (STARTS_LATE,), (cause("thick", 0.3, late=0.9),), (remedy("scrape", effects(thick=0.5), at_most=1),)
    )
    case = answers(answers(late=YES).with_gap(RemedyId("scrape"), new_sitting=False), late=YES)
    assert step_of(rules, case) == ("stop", "set-aside")


def test_a_remedy_waits_for_its_sitting() -> None:
    rules = ruleset(
        (STARTS_LATE,),
        (cause("thick", 0.3, late=0.9),),
        (remedy("scrape", effects(thick=0.9), from_sitting=2),),
    )
    assert step_of(rules, answers(late=YES)) == ("stop", "set-aside")
    assert step_of(rules, answers(Case().with_sitting(2), late=YES)) == ("do", "scrape")


def test_after_a_remedy_its_rechecks_come_first_then_the_trouble_then_what_it_disturbed() -> None:
    rules = ruleset(
        (STARTS_LATE, SAGS, sign("opening-wide")),
        (cause("thin", 0.2, sags=0.9), cause("choked", 0.02, late=0.9)),
        (remedy("squeeze", effects(thin=0.8), effects(choked=0.4), recheck=("opening-wide",)),),
    )
    case = answers(late=NO, sags=YES).with_gap(RemedyId("squeeze"), new_sitting=False)
    assert step_of(rules, case) == ("ask", "opening-wide")
    case = answers(case, opening_wide=NO)
    assert step_of(rules, case) == ("ask", "sags")
    case = answers(case, sags=YES)
    assert step_of(rules, case) == ("ask", "late")
    advice = advise(rules, answers(case, late=YES))
    assert (advice.priority, advice.reopened) == ("response", True)


def test_old_answers_are_asked_anew_by_id_and_not_by_the_order_of_the_file() -> None:
    for names in (("a", "b"), ("b", "a")):
        rules = ruleset(
            tuple(symptom(name) for name in names),
            (cause("thick", 0.2, a=0.9, b=0.9),),
            (remedy("scrape", effects(thick=0.5)),),
        )
        case = answers(a=YES, b=YES).with_gap(RemedyId("scrape"), new_sitting=False)
        assert step_of(rules, case) == ("ask", "a")


def test_a_look_that_comes_first_is_not_weighed_again_behind_itself() -> None:
    rules = ruleset(
        (STARTS_LATE, sign("opening-wide")),
        (cause("wide", 0.2, late=0.8, opening_wide=0.9), cause("thick", 0.2, late=0.8)),
        (
            remedy("squeeze", effects(wide=0.8), recheck=("opening-wide",)),
            remedy("scrape", effects(thick=0.8)),
        ),
    )
    case = answers(answers(late=YES).with_gap(RemedyId("squeeze"), new_sitting=False), late=YES)
    ranked = [(one.kind, one.id) for one in advise(rules, case).ranked]
    assert ranked[0] == (Kind.ASK, "opening-wide")
    assert len(ranked) == len(set(ranked)) > 1


def test_unsure_at_a_recheck_is_not_asked_again_in_the_round() -> None:
    rules = simple()
    case = answers(answers(late=YES).with_gap(RemedyId("scrape"), new_sitting=False), late=UNSURE)
    assert step_of(rules, case) != ("ask", "late")


@pytest.mark.parametrize("limit", [SittingLimit(minutes=3.0), SittingLimit(cuts=1)])
def test_once_the_sitting_is_used_up_the_step_is_a_rest(limit: SittingLimit) -> None:
    rules = ruleset(
        (STARTS_LATE,),
        (cause("thick", 0.3, late=0.9),),
        (remedy("scrape", effects(thick=0.5), undo=Undo.NEVER), night()),
        limit=limit,
    )
    case = answers(answers(late=YES).with_gap(RemedyId("scrape"), new_sitting=False), late=YES)
    assert step_of(rules, case) == ("rest", "night")
    assert step_of(rules, answers(late=YES)) == ("do", "scrape")


def test_a_sitting_that_is_used_up_opens_no_new_question() -> None:
    rules = ruleset(
        (STARTS_LATE, SAGS),
        (cause("thick", 0.3, late=0.9), cause("thin", 0.3, sags=0.9)),
        (remedy("scrape", effects(thick=0.5), undo=Undo.NEVER), night()),
        limit=SittingLimit(cuts=1),
    )
    case = answers(answers(late=YES).with_gap(RemedyId("scrape"), new_sitting=False), late=NO)
    assert step_of(rules, case) == ("rest", "night")
    assert step_of(rules, answers(case, sags=NO)) == ("stop", "ready")


def test_enough_for_today_without_a_rest_in_the_ruleset_still_says_to_leave_it() -> None:
    rules = ruleset(
        (STARTS_LATE,),
        (cause("thick", 0.3, late=0.9),),
        (remedy("scrape", effects(thick=0.5), undo=Undo.NEVER),),
        limit=SittingLimit(cuts=1),
    )
    case = answers(answers(late=YES).with_gap(RemedyId("scrape"), new_sitting=False), late=YES)
    assert step_of(rules, case) == (Kind.REST, ANY_REST)


def test_a_rest_that_does_not_fit_before_the_date_is_left_out() -> None:
    rules = ruleset((STARTS_LATE,), (cause("damp", 0.3, late=0.9),), (night(effects(damp=0.9)),))
    assert step_of(rules, answers(late=YES)) == ("rest", "night")
    advice = advise(rules, answers(late=YES), hours_left=6.0)
    assert (advice.step and advice.step.id) == "set-aside"


def test_what_is_left_of_a_later_priority_is_accepted_when_mending_costs_more_than_it_is_worth() -> None:
    rules = ruleset(
        (SAGS,), (cause("thin", 0.3, sags=0.9),), (remedy("rebuild", effects(thin=0.5), minutes=90.0),)
    )
    assert step_of(rules, answers(sags=YES)) == ("stop", "accept")


def test_answers_that_cannot_all_be_true_are_named_and_nothing_is_proposed() -> None:
    rules = ruleset((symptom("late", leak=0.0), sign("seen")), (cause("thick", 0.2, late=0.8, seen=1.0),), ())
    advice = advise(rules, answers(late=YES, seen=NO))
    assert advice.step is None
    assert advice.belief.evidence == 0.0
    assert set(advice.disagree) == {(1, "late"), (1, "seen")}


def test_of_equal_steps_the_one_that_can_be_undone_comes_first() -> None:
    rules = ruleset(
        (STARTS_LATE,),
        (cause("thick", 0.2, late=0.9),),
        (
            remedy("a-cut", effects(thick=0.5), undo=Undo.NEVER, minutes=1.0),
            remedy("b-squeeze", effects(thick=0.5), minutes=13.0),
        ),
    )
    ranked = [one for one in advise(rules, answers(late=YES)).ranked if one.kind is Kind.DO]
    assert [one.id for one in ranked] == ["b-squeeze", "a-cut"]
    assert ranked[0].cost == pytest.approx(ranked[1].cost)


def test_a_step_is_not_credited_with_luck() -> None:
    """A symptom that no cause shows is background, and staying: nothing is worth doing about it."""
    rules = ruleset(
        (symptom("late", leak=0.3), SAGS),
        (cause("thick", 0.01, late=0.5),),
        (remedy("scrape", effects(thick=0.9), minutes=10.0),),
    )
    assert step_of(rules, answers(late=YES)) == ("stop", "set-aside")


def test_a_free_remedy_does_not_break_the_weighing() -> None:
    rules = ruleset(
        (STARTS_LATE,), (cause("thick", 0.3, late=0.9),), (remedy("turn", effects(thick=0.3), minutes=0.0),)
    )
    assert step_of(rules, answers(late=YES)) == ("do", "turn")


def crowded() -> Ruleset:
    """Make two faults, one with eight cheap operations and one with a single dear one."""
    cheap = tuple(remedy(f"squeeze-{number}", effects(loose=0.3), minutes=1.0) for number in range(8))
    dear = remedy("scrape", effects(thick=0.9), undo=Undo.NEVER, minutes=5.0)
    return ruleset(
        (STARTS_LATE, symptom("rattles")),
        (cause("loose", 0.1, rattles=0.95), cause("thick", 0.1, late=0.95)),
        (*cheap, dear),
    )


def test_many_ways_to_mend_one_fault_do_not_crowd_out_the_only_one_of_another() -> None:
    advice = advise(crowded(), answers(late=YES, rattles=YES))
    assert advice.step is not None
    assert advice.step.kind is Kind.DO
    assert "scrape" in {one.id for one in advice.ranked}


def beyond_mending() -> Ruleset:
    """Make one fault that is mended in a minute beside one that hardly anything mends."""
    return ruleset(
        (symptom("rattles"), symptom("dull")),
        (cause("loose", 0.1, rattles=0.95), cause("old", 0.1, dull=0.95)),
        (
            remedy("squeeze", effects(loose=0.9), minutes=1.0),
            remedy("soak", effects(old=0.02), minutes=5.0, at_most=1),
        ),
    )


def test_what_can_be_mended_is_mended_before_a_reed_is_given_up() -> None:
    rules = beyond_mending()
    advice = advise(rules, answers(rattles=YES, dull=YES))
    assert advice.step is not None
    assert (advice.step.kind, advice.step.id) == ("do", "squeeze")
    assert advice.step.why[0].endswith("first what can be mended: rattles.")
    assert (advice.ranked[0].kind, advice.ranked[0].id) == ("do", "squeeze")
    mended = answers(rattles=YES, dull=YES).with_gap(RemedyId("squeeze"), new_sitting=False)
    mended = mended.with_answer(FindingId("rattles"), NO).with_answer(FindingId("dull"), YES)
    assert step_of(rules, mended) == ("stop", "set-aside")


def with_a_night(*, at_most: int = 1, from_sitting: int = 1) -> Ruleset:
    """Make one fault with one remedy that has to wait, and a night."""
    return ruleset(
        (STARTS_LATE,),
        (cause("thick", 0.1, late=0.95),),
        (
            remedy("scrape", effects(thick=0.5), at_most=at_most, from_sitting=from_sitting),
            night(),
        ),
    )


def test_a_reed_whose_remedy_has_its_sitting_still_to_come_waits_for_it() -> None:
    advice = advise(with_a_night(from_sitting=2), answers(late=YES))
    assert advice.step is not None
    assert (advice.step.kind, advice.step.id) == ("rest", "night")
    assert "After a night" in advice.step.why[0]
    assert [one.kind for one in advice.ranked[:2]] == ["rest", "stop"]


def test_a_remedy_that_has_had_its_times_today_is_tried_again_tomorrow() -> None:
    tried = (
        answers(late=YES).with_gap(RemedyId("scrape"), new_sitting=False).with_answer(FindingId("late"), YES)
    )
    assert step_of(with_a_night(), tried) == ("rest", "night")
    tomorrow = tried.with_gap(RemedyId("night"), new_sitting=True).with_answer(FindingId("late"), YES)
    assert step_of(with_a_night(), tomorrow) == ("do", "scrape")


def test_no_night_is_waited_for_that_the_day_of_need_does_not_leave() -> None:
    advice = advise(with_a_night(from_sitting=2), answers(late=YES), hours_left=3.0)
    assert (advice.step and advice.step.id) == "set-aside"


def test_the_mending_of_the_likeliest_fault_is_weighed_behind_however_many_cheap_tries() -> None:
    # One likely fault whose mending is dear, and more rare ones, each mended in a minute, than are weighed.
    rare = [f"rare-{number}" for number in range(Budget().operations + 4)]
    rules = ruleset(
        (STARTS_LATE,),
        (cause("likely", 0.5, late=1.0), *(cause(one, 0.02, late=1.0) for one in rare)),
        (
            remedy("mend", effects(likely=0.9), minutes=30.0),
            *(remedy(f"try-{one}", effects(**{one: 0.9}), minutes=1.0) for one in rare),
        ),
    )
    advice = advise(rules, answers(late=YES))
    assert "mend" in {one.id for one in advice.ranked}
    assert step_of(rules, answers(late=YES))[0] == "do"


def test_a_step_that_another_only_waits_for_says_for_which() -> None:
    rules = ruleset(
        (STARTS_LATE,),
        (cause("thick", 0.4, late=0.95), cause("loose", 0.1, late=0.95)),
        (
            remedy("scrape", effects(thick=0.9), undo=Undo.NEVER, after=("squeeze",)),
            remedy("squeeze", effects(loose=0.9), minutes=1.0),
        ),
    )
    advice = advise(rules, answers(late=YES))
    assert advice.step is not None
    assert (advice.step.kind, advice.step.id) == ("do", "squeeze")
    assert advice.step.why[0] == "These rules want it tried before “scrape”, which mends “thick”."


def test_a_question_without_which_all_would_be_given_up_promises_no_minutes() -> None:
    rules = ruleset(
        (STARTS_LATE, sign("thick-look")),
        (cause("thick", 0.05, late=0.9, thick_look=0.95), cause("old", 0.3, late=0.9)),
        (remedy("scrape", effects(thick=0.9), undo=Undo.NEVER, minutes=40.0),),
    )
    advice = advise(rules, answers(late=YES))
    assert advice.step is not None
    assert (advice.step.kind, advice.step.id) == ("ask", "thick-look")
    assert next(one.kind for one in advice.ranked if one.kind is not Kind.ASK) is Kind.STOP
    assert advice.step.why[0].startswith("As things stand nothing that may be done is worth its cost")
