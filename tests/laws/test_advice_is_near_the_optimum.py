"""What following the engine's advice costs, beside the least that any policy could cost.

Tiny problems are solved by trying everything (tests/support/optimum.py, which shares no code with the
engine and takes its belief from arrays of whole worlds). The advice is followed through every answer
that could come, so its cost is exact too, and so is its obedience to the hard constraints. The suite
takes a sample; `pytest -m long` takes all 300 and prints the worst.
"""

from functools import cache

import pytest

from engine.advice import advise
from tests.support.followed import Played, mean, played
from tests.support.optimum import Solved, beginning, belief_of, cost_of_policy, one_step, solved

SAMPLE, ALL = 20, 300


@cache
def sample() -> tuple[Solved, ...]:
    return tuple(solved(SAMPLE))


def assert_near_the_optimum(games: list[Played]) -> None:
    above = [game.above for game in games]
    assert min(above) > -1e-9, "cheaper than the optimum: one of the two is wrong"
    assert mean(above) <= 0.03
    assert max(above) <= 0.25
    simple = [game.above for game in games if game.symptoms == 1]
    assert mean(simple) <= 0.01
    assert max(simple) <= 0.10


def test_advice_is_near_the_optimum_on_a_sample() -> None:
    games = list(played(sample()))
    assert {game.symptoms for game in games} == {1, 2, 3}
    assert_near_the_optimum(games)


def test_one_step_of_look_ahead_would_not_do() -> None:
    problems = sample()
    costs = [cost_of_policy(one.desk, one_step(one.desk)) for one in problems]
    assert all(cost >= one.least - 1e-9 for cost, one in zip(costs, problems, strict=True))
    worse = sum(cost > one.least * (1 + 1e-9) for cost, one in zip(costs, problems, strict=True))
    assert worse >= SAMPLE / 10


def test_both_judges_believe_the_same() -> None:
    for problem in sample()[:8]:
        at = beginning(problem.desk)
        present = at.belief.sum(axis=1)
        found = advise(problem.desk.ruleset, at.case).belief
        assert at.belief == pytest.approx(belief_of(problem.desk, at.case))
        for cause, there in problem.desk.there.items():
            assert found.chance(cause) == pytest.approx(present[there].sum(), abs=1e-9)


@pytest.mark.long
def test_advice_is_near_the_optimum_on_three_hundred_problems() -> None:
    games = list(played(solved(ALL)))
    for symptoms in (1, 2, 3):
        of = [game.above for game in games if game.symptoms == symptoms]
        print(f"{symptoms} symptoms: {len(of)} problems, mean {mean(of):.2%}, worst {max(of):.2%} above")
    for game in sorted(games, key=lambda one: -one.above)[:5]:
        problem = game.problem
        costs = f"{game.cost:.2f} minutes, optimum {problem.least:.2f}"
        print(f"seed {problem.seed}: {costs}, begins {problem.first}")
    worse = sum(
        cost_of_policy(g.problem.desk, one_step(g.problem.desk)) > g.problem.least + 1e-9 for g in games
    )
    assert worse >= ALL / 10
    assert_near_the_optimum(games)
