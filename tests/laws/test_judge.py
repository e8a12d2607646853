"""The judge itself is judged: by a plainer one, and by cases small enough for pencil and paper."""

from fractions import Fraction

import pytest

from engine.case import Case
from kb.ids import CauseId, FindingId, PriorityId, RemedyId, RulesetId
from kb.model import Answer, Cause, Effect, Finding, Priority, Remedy, Ruleset, Show
from tests.support.brute import gone_after, judge, sequence_value, worlds
from tests.support.strategies import TINY, seeded

SAG, SLACK = FindingId("sags"), CauseId("slack-wire")


def one_fault(**changes: float) -> Ruleset:
    """One cause, one symptom, one remedy and one night; chances that are easy to reckon with."""
    return Ruleset(
        RulesetId("one-fault"),
        "One fault",
        "1.0.0",
        priorities=(Priority(PriorityId("response"), "Response"),),
        findings=(
            Finding(
                SAG, "Sags", "Does it sag?", priority=PriorityId("response"), leak=changes.get("leak", 0.0)
            ),
        ),
        causes=(
            Cause(
                SLACK, "Slack wire", changes.get("common", 0.5), (Show(SAG, changes.get("strength", 0.5)),)
            ),
        ),
        operations=(
            Remedy(
                RemedyId("tighten"),
                "Tighten",
                "Tighten it.",
                cures=(Effect(SLACK, changes.get("cure", 0.5)),),
            ),
            Remedy(RemedyId("night"), "Night", "Leave it.", is_rest=True, new_sitting=True),
        ),
    )


@pytest.mark.parametrize("seed", range(120))
def test_adding_up_by_findings_equals_adding_up_whole_worlds(seed: int) -> None:
    ruleset, case = seeded(seed, TINY)
    assert judge(ruleset, case, Fraction) == worlds(ruleset, case)


def test_bayes_by_hand() -> None:
    # Present 1/2, shows half the time: P(no) = 1/2 + 1/4, P(cause | no) = (1/4) / (3/4).
    judged = judge(one_fault(), Case().with_answer(SAG, Answer.NO), Fraction)
    assert (judged.evidence, judged.now[SLACK]) == (Fraction(3, 4), Fraction(1, 3))


def test_a_link_is_drawn_once_by_hand() -> None:
    # Yes twice with nothing done between: the second yes is no news at all.
    case = Case().with_answer(SAG, Answer.YES).with_gap(None, new_sitting=False).with_answer(SAG, Answer.YES)
    assert judge(one_fault(), case, Fraction).evidence == Fraction(1, 4)


def test_a_remedy_that_failed_by_hand() -> None:
    # Yes, tightened (works half the time), yes again: the cause must be there still.
    case = Case().with_answer(SAG, Answer.YES)
    case = case.with_gap(RemedyId("tighten"), new_sitting=False).with_answer(SAG, Answer.YES)
    judged = judge(one_fault(), case, Fraction)
    assert (judged.evidence, judged.now[SLACK]) == (Fraction(1, 8), Fraction(1))


def test_a_night_brings_a_cause_back_by_hand() -> None:
    # No in round one: absent (1/2) or present with the link off (1/4). A night provokes 0.2 * h / (1 - h).
    ruleset = one_fault(common=0.2, strength=1.0)
    case = Case().with_answer(SAG, Answer.NO).with_gap(RemedyId("night"), new_sitting=True)
    assert judge(ruleset, case).now[SLACK] == pytest.approx(0.2 * 0.2 / 0.8)


def test_a_background_comes_and_goes_by_hand() -> None:
    # No cause: yes in round one is the background; it is gone in the next with chance 0.2.
    ruleset = one_fault(common=0.5, strength=0.0, leak=0.1)
    case = Case().with_answer(SAG, Answer.YES).with_gap(None, new_sitting=False)
    judged = judge(ruleset, case)
    assert judged.shows[SAG] == pytest.approx(0.8)
    assert judged.unlisted == pytest.approx(1.0)


def test_a_sequence_by_hand() -> None:
    # Present for certain after a yes; each try cures half of what is left, the background aside.
    ruleset, tighten = one_fault(), RemedyId("tighten")
    case = Case().with_answer(SAG, Answer.YES)
    gone = [gone_after(ruleset, case, [SAG], [tighten] * n, Fraction).all_of_them for n in range(3)]
    assert gone == [0, Fraction(1, 2), Fraction(3, 4)]
    # 4 minutes, 4 more with chance 1/2, and in a quarter of the cases 40: 16; cut after one: 24.
    assert sequence_value(gone, [Fraction(4)] * 2, Fraction(40)) == 16
