"""How an interview goes: opening, overview, the engine's steps, taking back, sittings."""

from dataclasses import replace
from pathlib import Path

import pytest

from engine import advice
from engine.interview import (
    AskCard,
    DisagreeCard,
    DoCard,
    Interview,
    OverviewCard,
    PickCard,
    RestCard,
    StopCard,
)
from engine.lookahead import Budget
from kb.ids import FindingId, QuantityId, RemedyId
from kb.log.entry import (
    Answered,
    EntryId,
    Measured,
    Overviewed,
    RemedyDone,
    Rested,
    SittingOpened,
    TakenBack,
    What,
)
from kb.model import Ending, Quantity, SittingLimit, Undo
from tests.support.running import run_python
from tests.support.small import (
    NO,
    RESPONSE,
    STABILITY,
    UNSURE,
    YES,
    cause,
    effects,
    entry,
    night,
    remedy,
    ruleset,
    sign,
    symptom,
)

LATE, SAGS, DRY, WIDE = (FindingId(one) for one in ("late", "sags", "dry", "wide"))
RULES = ruleset(
    (
        symptom("late"),
        symptom("silent"),
        symptom("sags", STABILITY, from_sitting=2),
        sign("dry"),
        sign("wide", quantity="opening", above=1.4),
    ),
    (
        cause("thick", 0.2, late=0.9, silent=0.5),
        cause("spread", 0.1, late=0.7, wide=0.95),
        cause("thin", 0.1, sags=0.9),
    ),
    (
        remedy("scrape", effects(thick=0.8), undo=Undo.NEVER),
        remedy("squeeze", effects(spread=0.9), effects(thin=0.1), recheck=("wide",)),
        night(effects(thin=0.3)),
    ),
    opening=("dry", "wide"),
    quantities=(Quantity(QuantityId("opening"), "Opening", "mm", (0.2, 3.0), (1.0, 1.4), 0.05),),
    overview="Does every note start?",
    limit=SittingLimit(minutes=60.0, cuts=3),
)


def after(*said: What) -> Interview:
    interview = Interview.begin(RULES)
    for number, what in enumerate(said):
        interview = interview.with_entry(entry(number, what))
    return interview


OPENED = (SittingOpened(1), Answered(DRY, NO), Measured(QuantityId("opening"), 1.2))


def test_the_opening_routine_comes_first_in_its_order() -> None:
    card = after(SittingOpened(1)).card
    assert isinstance(card, AskCard)
    assert (card.finding.id, card.opening, card.quantity) == ("dry", True, None)
    card = after(SittingOpened(1), Answered(DRY, UNSURE)).card
    assert isinstance(card, AskCard)
    assert (card.finding.id, card.quantity) == ("wide", "opening")


def test_a_reading_answers_the_opening_question_that_reads_it() -> None:
    card = after(*OPENED).card
    assert isinstance(card, OverviewCard)
    assert (card.priority.id, card.clears) == (RESPONSE, ("late", "silent"))


def test_all_fine_answers_every_open_symptom_no_and_marks_them() -> None:
    interview = after(*OPENED, Overviewed(RESPONSE, fine=True, clear=(LATE, FindingId("silent"))))
    assert interview.case.present.answer(LATE) is NO
    assert interview.case.present.from_overview == {"late", "silent"}
    assert isinstance(interview.card, StopCard)


def test_all_fine_does_not_overrule_an_answer_given_by_itself() -> None:
    interview = after(*OPENED, Answered(LATE, YES), Overviewed(RESPONSE, fine=True, clear=(LATE,)))
    assert interview.case.present.answer(LATE) is YES


def test_something_wrong_gives_a_list_to_pick_from_or_lets_the_engine_ask() -> None:
    interview = after(*OPENED, Overviewed(RESPONSE, fine=False))
    card = interview.card
    assert isinstance(card, PickCard)
    assert [one.id for one in card.symptoms] == ["late", "silent"]
    asked = interview.without_picking().card
    assert isinstance(asked, AskCard)
    assert asked.finding.id in {"late", "silent"}
    assert isinstance(interview.with_entry(entry(9, Answered(LATE, YES))).card, AskCard | DoCard)


def test_the_engine_proposes_and_a_remedy_begins_a_new_round_with_its_rechecks() -> None:
    interview = after(*OPENED, Answered(LATE, YES), RemedyDone(RemedyId("squeeze")))
    card = interview.card
    assert isinstance(card, AskCard)
    assert card.finding.id == "wide"
    assert len(interview.case.rounds) == 2


def test_taking_back_any_entry_is_as_if_it_had_not_been_made() -> None:
    interview = after(*OPENED, Answered(LATE, YES), RemedyDone(RemedyId("squeeze")))
    back = interview.with_entry(entry(10, TakenBack(EntryId("e4"))))
    assert back.case == after(*OPENED, Answered(LATE, YES)).case
    again = back.with_entry(entry(11, TakenBack(EntryId("e10"))))
    assert again.case == interview.case


def test_a_rest_closes_the_sitting_and_the_next_one_opens_with_the_routine() -> None:
    interview = after(*OPENED, Answered(LATE, YES), Rested(RemedyId("night"), new_sitting=True))
    assert interview.is_between_sittings
    assert interview.case.sitting == 2
    taken_up = interview.with_entry(entry(9, SittingOpened(2)))
    assert not taken_up.is_between_sittings
    assert taken_up.case == interview.case
    assert isinstance(taken_up.card, AskCard)
    assert taken_up.card.opening


def test_a_sitting_opened_without_a_rest_is_a_night_in_which_nothing_was_done() -> None:
    case = after(*OPENED, SittingOpened(3)).case
    assert (case.sitting, len(case.rounds)) == (3, 2)
    gap = case.rounds[0].gap
    assert gap is not None
    assert (gap.operation, gap.new_sitting) == (None, True)


def test_what_does_not_count_yet_is_known() -> None:
    assert [one.id for one in after(SittingOpened(1)).counts_later] == ["sags"]
    assert after(SittingOpened(2)).counts_later == ()


def test_entries_that_the_ruleset_does_not_know_are_kept_aside() -> None:
    strange = after(
        *OPENED, Answered(FindingId("gone"), YES), RemedyDone(RemedyId("gone-too")), Answered(LATE, YES)
    )
    assert [one.what for one in strange.left_over] == [
        Answered(FindingId("gone"), YES),
        RemedyDone(RemedyId("gone-too")),
    ]
    assert len(strange.case.rounds) == 2
    assert strange.case.present.answer(LATE) is YES


def test_an_end_and_a_rest_have_cards_of_their_own() -> None:
    done = after(*OPENED, Answered(LATE, NO), Answered(FindingId("silent"), NO)).card
    assert isinstance(done, StopCard)
    assert done.ending is Ending.READY
    tired = Interview(
        replace(RULES, sitting=SittingLimit(minutes=1.0)), after(*OPENED, Answered(LATE, YES)).entries
    )
    assert isinstance(tired.card, RestCard)
    assert tired.card.operation is not None
    assert tired.card.operation.id == "night"


def test_answers_that_disagree_are_named_on_a_card() -> None:
    rules = ruleset((symptom("late", leak=0.0),), (), ())
    interview = Interview.begin(rules, [entry(1, Answered(LATE, YES))])
    assert interview.card == DisagreeCard(((1, LATE),))


def test_the_opening_question_needs_no_numbers_to_be_shown(tmp_path: Path) -> None:
    code = (
        "import sys\n"
        "from engine.interview import Interview\n"
        "from kb.model import Finding, Ruleset\n"
        "dry = Finding('dry', 'dry', 'dry?', is_sign=True)\n"
        "rules = Ruleset('r', 'R', '1.0.0', findings=(dry,), opening=('dry',))\n"
        "assert Interview.begin(rules).card.finding.id == 'dry'\n"
        "print('numpy' in sys.modules)\n"
    )
    assert run_python(["-c", code], tmp_path).out.strip() == "False"


def test_answers_too_many_to_weigh_are_listed_to_take_back(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(advice, "Budget", lambda: Budget(widest=1))
    interview = after(*OPENED, Answered(LATE, YES), Answered(FindingId("silent"), YES))
    card = interview.card
    assert isinstance(card, DisagreeCard)
    assert card.answers == ((1, "late"), (1, "silent"))
    assert "hang together" in card.refusal
