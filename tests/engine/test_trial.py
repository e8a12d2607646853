"""An author's worked cases: what is expected is compared with what the engine says, part by part."""

from dataclasses import replace
from pathlib import Path

import pytest

from engine.trial import Part, leading_causes, run_trial
from kb.ids import CauseId, FindingId, PriorityId
from kb.load import load_file
from kb.model import Answer, Expect, GivenRound, Ruleset, Show, Trial

GOLDEN = Path(__file__).resolve().parents[1] / "golden" / "penny-whistle-voicing.yaml"
TALL = GivenRound(
    given=((FindingId("low-notes-break"), Answer.YES), (FindingId("windway-high"), Answer.YES)),
)


@pytest.fixture(scope="module")
def whistle() -> Ruleset:
    ruleset = load_file(GOLDEN).ruleset
    assert ruleset is not None
    return ruleset


def missed(ruleset: Ruleset, expect: Expect, *rounds: GivenRound) -> list[Part]:
    return [miss.part for miss in run_trial(ruleset, Trial("t", rounds or (TALL,), expect)).misses]


def test_the_shipped_trial_of_the_example_passes(whistle: Ruleset) -> None:
    (trial,) = whistle.trials
    result = run_trial(whistle, trial)
    assert result.passed
    assert result.advice.step is not None
    assert result.advice.step.id == "shim-windway"


def test_a_cause_that_is_not_the_likeliest_is_a_miss_and_says_which_is(whistle: Ruleset) -> None:
    trial = Trial("t", (TALL,), Expect(cause=CauseId("damp-block")))
    (miss,) = run_trial(whistle, trial).misses
    assert (miss.part, miss.expected, miss.found) == (Part.CAUSE, ("damp-block",), ("windway-too-tall",))


def test_two_causes_equally_likely_both_pass(whistle: Ruleset) -> None:
    twin = replace(whistle.causes[0], id=CauseId("twin"))
    doubled = replace(whistle, causes=(*whistle.causes, twin))
    assert missed(doubled, Expect(cause=CauseId("twin"))) == []
    assert missed(doubled, Expect(cause=CauseId("windway-too-tall"))) == []
    belief = run_trial(doubled, Trial("t", (TALL,), Expect())).advice.belief
    assert set(leading_causes(belief)) == {"twin", "windway-too-tall"}


def test_any_step_of_the_list_will_do(whistle: Ruleset) -> None:
    assert missed(whistle, Expect(step=("overnight", "shim-windway"))) == []
    assert missed(whistle, Expect(step=("overnight", "pare-windway"))) == [Part.STEP]


def test_none_of_the_steps_ruled_out_may_be_proposed(whistle: Ruleset) -> None:
    assert missed(whistle, Expect(not_step=("overnight", "shim-windway"))) == [Part.NOT_STEP]
    assert missed(whistle, Expect(not_step=("overnight",))) == []


def test_the_active_priority_is_compared_and_null_means_all_clear(whistle: Ruleset) -> None:
    assert missed(whistle, Expect(priority=PriorityId("response"))) == []
    assert missed(whistle, Expect(priority=PriorityId("stability"))) == [Part.PRIORITY]
    assert missed(whistle, Expect(all_clear=True)) == [Part.PRIORITY]
    well = tuple((finding.id, Answer.NO) for finding in whistle.findings)
    clear = GivenRound(given=well, sitting=3)
    assert missed(whistle, Expect(all_clear=True, step=("ready",)), clear) == []
    assert missed(whistle, Expect(priority=PriorityId("response")), clear) == [Part.PRIORITY]


def test_every_part_that_is_missed_is_told(whistle: Ruleset) -> None:
    expect = Expect(
        cause=CauseId("damp-block"),
        step=("overnight",),
        not_step=("shim-windway",),
        priority=PriorityId("flexibility"),
    )
    assert missed(whistle, expect) == [Part.CAUSE, Part.STEP, Part.NOT_STEP, Part.PRIORITY]


def test_answers_that_cannot_all_be_true_fail_the_trial_and_are_named(whistle: Ruleset) -> None:
    # A finding without leak that no cause shows cannot be answered yes.
    strict = replace(
        whistle,
        findings=tuple(replace(finding, leak=0.0) for finding in whistle.findings),
        causes=tuple(replace(cause, shows=tuple[Show, ...]()) for cause in whistle.causes),
    )
    result = run_trial(strict, Trial("t", (TALL,), Expect()))
    (miss,) = result.misses
    assert miss.part is Part.GIVEN
    assert set(miss.found) <= {"low-notes-break", "windway-high"}
    assert miss.found


def test_a_trial_that_demands_nothing_passes(whistle: Ruleset) -> None:
    assert missed(whistle, Expect()) == []
