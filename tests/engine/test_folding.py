"""Past the budget the oldest rounds are folded, and the belief says so; it never fails silently."""

import pytest

from engine.advice import advise
from engine.belief import believe
from engine.case import Case
from engine.lookahead import Budget
from engine.refusal import TooWideError
from kb.ids import RemedyId
from kb.model import Ruleset
from tests.support.small import YES, answers, cause, effects, remedy, ruleset, symptom

NAMES = [f"f{number}" for number in range(6)]


def wide() -> Ruleset:
    return ruleset(
        tuple(symptom(name) for name in NAMES),
        tuple(cause(f"c{number}", 0.1, **dict.fromkeys(NAMES, 0.5)) for number in range(4)),
        (remedy("scrape", effects(c0=0.5)),),
    )


def long_case(rounds: int, each: int) -> Case:
    case = Case()
    for number in range(rounds):
        if number:
            case = case.with_gap(RemedyId("scrape"), new_sitting=False)
        case = answers(case, **dict.fromkeys(NAMES[:each], YES))
    return case


def test_folding_stays_close_to_the_exact_belief_and_says_that_it_is_not() -> None:
    case = long_case(3, 2)
    exact = believe(wide(), case)
    assert exact.exact
    assert exact.off is None
    folded = believe(wide(), case, widest=10)
    assert not folded.exact
    assert folded.folded >= 1
    assert len(folded.rounds) == len(case.rounds)
    for cause_id, chance in exact.causes:
        assert folded.chance(cause_id) == pytest.approx(
            chance, abs=0.2
        )  # causes all alike: the worst there is


def test_what_folding_one_more_round_changes_is_measured() -> None:
    case = long_case(4, 2)
    folded = believe(wide(), case, widest=16)
    further = believe(wide(), case, widest=12)
    assert further.folded == folded.folded + 1
    assert folded.off == pytest.approx(
        max(abs(chance - further.chance(cause_id)) for cause_id, chance in folded.causes)
    )
    assert folded.off is not None
    assert 0.0 < folded.off < 0.2


def test_with_nothing_left_to_fold_the_error_is_not_measured_and_this_is_said() -> None:
    case = long_case(2, 3)
    assert believe(wide(), case, widest=8).folded == 1
    assert believe(wide(), case, widest=8).off is None
    step = advise(wide(), case, budget=Budget(widest=8)).step
    assert step is not None
    assert "how near could not be measured" in " ".join(step.why)


def test_one_round_that_is_too_wide_is_refused_with_its_width() -> None:
    with pytest.raises(TooWideError, match="hang together") as caught:
        believe(wide(), long_case(1, 6), widest=4)
    assert caught.value.width > 4


def test_more_answers_than_bits_are_folded_and_not_mixed_up() -> None:
    belief = believe(wide(), long_case(14, 6))
    assert not belief.exact
    assert all(0.0 <= chance <= 1.0 for _, chance in belief.causes)
