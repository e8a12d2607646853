"""Belief against two general-purpose libraries, on networks small enough for both.

pyAgrum and pgmpy know nothing of noisy-ORs that persist: they are handed every table written out.
They come with the `bench` extra (`pip install '.[bench]'`); without them these checks are skipped.
"""

import random
from collections.abc import Callable, Mapping

import pytest

from engine.belief import believe
from engine.case import Case
from kb.model import Answer, Ruleset
from tests.support.libraries import with_pgmpy, with_pyagrum
from tests.support.small import cause, effects, remedy, ruleset, sign
from tests.support.written_out import WrittenOut, all_rounds, one_round

Library = Callable[[WrittenOut], Mapping[str, float]]
LIBRARIES = {"pyagrum": with_pyagrum, "pgmpy": with_pgmpy}
FINDINGS = ("late", "sags", "thick", "buzz")

pytestmark = pytest.mark.filterwarnings("default")


@pytest.fixture(params=sorted(LIBRARIES))
def library(request: pytest.FixtureRequest) -> Library:
    pytest.importorskip(request.param, reason=f"{request.param} is in the bench extra", exc_type=ImportError)
    return LIBRARIES[request.param]


def _drawn(source: random.Random, causes: int) -> Ruleset:
    return ruleset(
        tuple(sign(name) for name in FINDINGS),
        tuple(
            cause(
                f"c{number}",
                source.uniform(0.02, 0.4),
                **{name: source.uniform(0.1, 0.95) for name in source.sample(FINDINGS, source.randint(1, 3))},
            )
            for number in range(causes)
        ),
        (remedy("scrape", effects(c0=0.7), effects(c1=0.2)), remedy("tie", effects(c1=0.9))),
    )


def _answered(source: random.Random, case: Case, rules: Ruleset) -> Case:
    for finding in source.sample(rules.findings, 3):
        case = case.with_answer(finding.id, source.choice((Answer.YES, Answer.NO)))
    return case


@pytest.mark.parametrize("seed", range(10))
def test_one_round_is_as_two_libraries_have_it(seed: int, library: Library) -> None:
    source = random.Random(seed)
    rules = _drawn(source, 6)
    case = _answered(source, Case(), rules)
    told = library(one_round(rules, case))
    assert dict(believe(rules, case).causes) == pytest.approx(told, abs=1e-9)


@pytest.mark.parametrize("seed", range(6))
def test_rounds_with_what_persists_are_as_two_libraries_have_them(seed: int, library: Library) -> None:
    source = random.Random(100 + seed)
    rules = _drawn(source, 3)
    case = _answered(source, Case(), rules)
    for number in range(2):
        case = case.with_gap(source.choice(rules.operations).id, new_sitting=number == 1)
        case = _answered(source, case, rules)
    told = library(all_rounds(rules, case))
    assert dict(believe(rules, case).causes) == pytest.approx(told, abs=1e-9)
