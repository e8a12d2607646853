"""Past the budget the oldest rounds are folded, and the belief says so; it never fails silently."""

import pytest

from engine import sweep
from engine.belief import believe
from engine.case import Case
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


def test_folding_stays_close_to_the_exact_belief_and_says_that_it_is_not(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    case = long_case(3, 2)
    exact = believe(wide(), case)
    assert exact.exact
    monkeypatch.setattr(sweep, "WIDEST", 10)
    folded = believe(wide(), case)
    assert not folded.exact
    assert folded.folded >= 1
    assert len(folded.rounds) == len(case.rounds)
    for cause_id, chance in exact.causes:
        assert folded.chance(cause_id) == pytest.approx(
            chance, abs=0.2
        )  # causes all alike: the worst there is


def test_one_round_that_is_too_wide_is_refused_with_its_width(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sweep, "WIDEST", 4)
    with pytest.raises(TooWideError, match="hang together") as caught:
        believe(wide(), long_case(1, 6))
    assert caught.value.width > 4


def test_more_answers_than_bits_are_folded_and_not_mixed_up() -> None:
    belief = believe(wide(), long_case(14, 6))
    assert not belief.exact
    assert all(0.0 <= chance <= 1.0 for _, chance in belief.causes)
