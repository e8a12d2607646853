"""Two invented studios change the bassoon ruleset, disagree, and say that they are invented."""

import json
from functools import cache

import pytest

from engine.advice import advise
from engine.case import Case, Round
from engine.trial import run_trial
from kb.ids import FindingId
from kb.load import load_file
from kb.model import Answer, Ruleset
from tests.support.published import shipped
from tests.support.running import ROOT

STUDIOS = ("mill-lane", "weir-house")
EXAMPLES = ROOT / "docs" / "examples"


@cache
def studio(name: str) -> Ruleset:
    loaded = load_file(EXAMPLES / f"studio-{name}.yaml")
    assert loaded.ruleset is not None, loaded.problems
    assert not loaded.problems
    return loaded.ruleset


def step_of(ruleset: Ruleset, case: Case) -> str:
    step = advise(ruleset, case).step
    assert step is not None
    return str(step.id)


@pytest.mark.parametrize("name", STUDIOS)
def test_a_studio_says_that_it_is_invented_and_has_chart_words_and_cases_of_its_own(name: str) -> None:
    own, base = studio(name), shipped("bassoon")
    assert "(invented)" in own.title
    assert "invented studio" in own.about
    assert {chart.id for chart in own.charts} - {chart.id for chart in base.charts} == {name}
    assert len(set(own.words) - set(base.words)) == 2
    assert len(own.trials) > len(base.trials)


@pytest.mark.parametrize("name", STUDIOS)
def test_the_cases_of_its_own_pass(name: str) -> None:
    base = {trial.title for trial in shipped("bassoon").trials}
    for trial in studio(name).trials:
        if trial.title not in base:
            assert not run_trial(studio(name), trial).misses


def test_they_treat_a_thick_heart_otherwise() -> None:
    (told,) = json.loads((EXAMPLES / "thick-heart.json").read_text("utf-8"))
    case = Case((Round(sitting=told["sitting"]),))
    for finding, answer in told["given"].items():
        case = case.with_answer(FindingId(finding), Answer(answer))
    assert step_of(studio("mill-lane"), case) != "lighten-heart"
    assert step_of(studio("weir-house"), case) == "lighten-heart"


def test_they_are_not_among_the_rulesets_that_ship() -> None:
    # A reed on a real desk should not be judged by an invented studio.
    assert not list((ROOT / "rulesets").glob("studio-*"))
