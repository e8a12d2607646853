"""What trials leave untested: a part is tested exactly when some trial fails without it.

The idea is mutation testing: DeMillo, Lipton and Sayward, Hints on test data selection, Computer
11(4), 1978 (from memory): a change that no test fails on shows where nothing is tested.
"""

import random
from dataclasses import replace
from pathlib import Path

import pytest

from engine.advice import advise
from engine.case import Case, case_of_rounds
from engine.coverage.branches import branches_of, walked
from engine.coverage.noticing import noticed_by, roll_of
from engine.coverage.parts import Part, Sort, parts_of, without
from engine.coverage.tally import Coverage, judge, tally
from engine.trial import run_trial
from kb.load import load_bytes, load_file
from kb.model import Expect, GivenRound, Ruleset, Trial
from kb.text import NOWHERE
from tests.support.strategies import seeded
from tui import covering

GOLDEN = Path(__file__).resolve().parents[1] / "golden" / "penny-whistle-voicing.yaml"
LAMP = """
canebrake: 1
id: lamp
title: A lamp
version: 1.0.0
priorities: [{id: light, title: Light}]
symptoms:
  no-light: {priority: light, ask: Does it stay dark?, by: look}
signs:
  bulb-black: {ask: Is the bulb black?, by: look}
  plug-out: {ask: Is the plug out?, by: look}
causes:
  bulb-blown: {title: Blown, how_common: common, shows: {no-light: always, bulb-black: usually}}
  unplugged: {title: Unplugged, how_common: common, shows: {no-light: always, plug-out: always}}
remedies:
  change-bulb: {title: Change it, do: It., undo: fully, cures: {bulb-blown: always}, unless: [plug-out]}
  plug-in: {title: Plug it in, do: Plug it in., undo: fully, cures: {unplugged: always}}
rests:
  morning: {title: Wait, do: Wait for the morning., new_sitting: true}
charts:
  lesson:
    title: Lesson
    start: dark
    steps:
      dark: {ask: no-light, yes: black, no: done}
      black: {ask: bulb-black, yes: change, no: plug, unsure: plug}
      change: {do: change-bulb, then: done}
      plug: {do: plug-in, then: done}
      done: {stop: ready}
"""
BLACK = """
trials:
  - title: Black
    given: {no-light: yes, bulb-black: yes, plug-out: no}
    expect: {cause: bulb-blown, step: change-bulb}
"""


def lamp(trials: str) -> Ruleset:
    ruleset = load_bytes("lamp.yaml", (LAMP + trials).encode()).ruleset
    assert ruleset is not None
    return ruleset


def coverage(ruleset: Ruleset) -> Coverage:
    roll = roll_of(ruleset)
    return tally(ruleset, roll, [judge(ruleset, roll, part) for part in parts_of(ruleset)])


def covered(ruleset: Ruleset) -> set[tuple[str, str]]:
    return {(one.part.of, one.part.to) for one in coverage(ruleset).judged if one.by is not None}


def rounds_of(case: Case) -> tuple[GivenRound, ...]:
    return tuple(
        GivenRound(one.answers, one.readings, None if one.gap is None else one.gap.operation, one.sitting)
        for one in case.rounds
    )


def test_removing_what_is_called_tested_fails_the_trial_that_is_named_and_the_rest_fails_none() -> None:
    ruleset = lamp(BLACK)
    for one in coverage(ruleset).judged:
        if one.part.sort is not Sort.BRANCH:
            lost = without(ruleset, one.part)
            failed = [trial.title for trial in ruleset.trials if not run_trial(lost, trial).passed]
            assert (one.by in failed) if one.by else failed == []


def test_a_trial_tests_what_its_answer_follows_from_and_not_what_it_never_comes_near() -> None:
    found = covered(lamp(BLACK))
    assert {("bulb-blown", "no-light"), ("change-bulb", "bulb-blown"), ("change-bulb", "")} <= found
    assert not {("plug-in", ""), ("plug-in", "unplugged"), ("morning", "")} & found


def test_a_condition_is_tested_by_a_trial_that_would_do_without_it_what_it_rules_out() -> None:
    given = "given: {no-light: yes, bulb-black: yes, plug-out: slightly}"
    assert ("change-bulb", "plug-out") not in covered(lamp(BLACK))
    ruled = f"trials: [{{title: Out, {given}, expect: {{not_step: change-bulb}}}}]"
    assert ("change-bulb", "plug-out") in covered(lamp(ruled))


def test_a_trial_that_expects_nothing_and_one_that_fails_test_nothing_and_are_named() -> None:
    empty = coverage(lamp("trials: [{title: Open, given: {no-light: yes}, expect: {}}]"))
    assert (empty.trials, empty.unjudged, empty.failing) == (0, ("Open",), ())
    assert all(one.by is None for one in empty.judged)
    wrong = coverage(lamp("trials: [{title: Wrong, given: {no-light: yes}, expect: {step: ready}}]"))
    assert (wrong.trials, wrong.unjudged, wrong.failing) == (0, (), ("Wrong",))
    assert all(one.by is None for one in wrong.judged)


def test_the_ways_of_a_chart_are_those_that_the_answers_of_a_trial_go() -> None:
    ruleset = lamp(BLACK)
    assert [part.to for part in branches_of(ruleset)] == [
        "dark: yes",
        "dark: no",
        "black: yes",
        "black: no",
        "black: unsure",
    ]
    (trial,) = ruleset.trials
    gone = walked(ruleset, [case_of_rounds(ruleset, trial.rounds)])
    assert gone == {("lesson", "dark: yes"), ("lesson", "black: yes")}


def test_slightly_goes_the_way_of_yes_and_a_remedy_that_was_done_leads_into_the_next_round() -> None:
    done = "rounds: [{given: {no-light: slightly, bulb-black: no}, then: plug-in}]"
    ruleset = lamp(f"trials: [{{title: T, {done}, expect: {{}}}}]")
    (trial,) = ruleset.trials
    gone = walked(ruleset, [case_of_rounds(ruleset, trial.rounds)])
    assert gone == {("lesson", "dark: yes"), ("lesson", "black: no")}


def test_parts_come_in_the_order_of_the_file_with_their_places() -> None:
    every = coverage(lamp(BLACK)).judged
    spans = [one.part.span for one in every]
    assert spans == sorted(spans)
    assert NOWHERE not in spans
    lines = (LAMP + BLACK).splitlines()
    for one in every:
        told = one.part.to.rpartition(": ")[2] or one.part.of
        assert lines[one.part.span.line - 1][one.part.span.column - 1 :].startswith(told)


def test_the_branch_of_a_chart_cannot_be_taken_out_of_the_advice() -> None:
    ruleset = lamp(BLACK)
    with pytest.raises(ValueError, match="chart"):
        without(ruleset, branches_of(ruleset)[0])


def expected_by(ruleset: Ruleset, case: Case, source: random.Random) -> Expect:
    """Expect what the engine says, in one of four ways, so that the trial passes."""
    advice = advise(ruleset, case)
    step = () if advice.step is None else (advice.step.id,)
    cause = advice.belief.causes[0][0] if advice.belief.causes else None
    priority = advice.priority
    return source.choice(
        [
            Expect(cause=cause),
            Expect(step=step),
            Expect(priority=priority, all_clear=priority is None),
            Expect(cause=cause, step=step, priority=priority),
        ]
    )


@pytest.mark.parametrize("seed", range(40))
def test_what_the_screen_leaves_out_could_not_have_been_noticed(seed: int) -> None:
    ruleset, case = seeded(seed)
    if advise(ruleset, case).step is None:
        return
    trial = Trial("T", rounds_of(case), expected_by(ruleset, case, random.Random(seed)))
    ruleset = replace(ruleset, trials=(trial,))
    roll = roll_of(ruleset)
    for part in parts_of(ruleset):
        by_running = not run_trial(without(ruleset, part), trial).passed
        assert (noticed_by(ruleset, roll.watchers, part) is not None) == by_running, part


def test_several_processes_judge_as_one_does(monkeypatch: pytest.MonkeyPatch) -> None:
    ruleset = load_file(GOLDEN).ruleset
    assert ruleset is not None
    roll, parts = roll_of(ruleset), parts_of(ruleset)
    here = set(covering.judged(ruleset, roll, parts, 1))
    monkeypatch.setattr(covering, "WORTH_SENDING", 0)
    assert set(covering.judged(ruleset, roll, parts, 2)) == here
    assert {one.part for one in here} == set[Part](parts)
