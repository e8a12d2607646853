"""`canebrake weigh --json` equals brute force on 200 random small rulesets, up to three rounds.

The ruleset goes out as YAML and the case as a rounds file, so that reader, schema, building, the
folding of rounds into a case and the printing of numbers are all between the two.
"""

import json
from pathlib import Path

import pytest

from tests.support.brute import judge
from tests.support.running import Ran, run_canebrake, run_here
from tests.support.strategies import SMALL, seeded, to_rounds, to_yaml

NEAR = 1e-9


def assert_equal_to_brute_force(ran: Ran, seed: int) -> None:
    ruleset, case = seeded(seed, SMALL)
    judged = judge(ruleset, case)
    assert ran.code == (1 if judged.evidence == 0 else 0), ran.err
    found = json.loads(ran.out)
    assert (found["ruleset"], found["version"], found["exact"]) == ("made-up", "1.0.0", True)
    if judged.evidence == 0:
        assert found["evidence"] == 0
        assert found["disagree"]
        assert (found["causes"], found["ranked"], found["step"]) == ([], [], None)
        return
    assert found["evidence"] == pytest.approx(judged.evidence, rel=NEAR)
    assert found["unlisted"] == pytest.approx(judged.unlisted, abs=NEAR)
    causes = [(one["id"], one["chance"]) for one in found["causes"]]
    assert dict(causes) == pytest.approx(dict(judged.now), abs=NEAR)
    assert causes == sorted(causes, key=lambda pair: (-pair[1], pair[0]))
    assert {one["kind"] for one in found["ranked"]} <= {"ask", "do", "rest", "stop"}
    first = found["ranked"][0]
    assert (first["kind"], first["id"]) == (found["step"]["kind"], found["step"]["id"])


def written(seed: int, folder: Path) -> list[str]:
    ruleset, case = seeded(seed, SMALL)
    (folder / "made-up.yaml").write_text(to_yaml(ruleset), encoding="utf-8")
    (folder / "rounds.json").write_text(to_rounds(case), encoding="utf-8")
    return ["weigh", str(folder / "made-up.yaml"), "--rounds", str(folder / "rounds.json"), "--json"]


@pytest.mark.parametrize("seed", range(200))
def test_weigh_equals_brute_force(seed: int, tmp_path: Path) -> None:
    assert_equal_to_brute_force(run_here(written(seed, tmp_path), tmp_path), seed)


@pytest.mark.parametrize("seed", [3, 77, 141])
def test_weigh_equals_brute_force_in_a_process_of_its_own(seed: int, tmp_path: Path) -> None:
    assert_equal_to_brute_force(run_canebrake(written(seed, tmp_path), tmp_path), seed)


def test_the_sample_holds_all_kinds_of_answer_and_gap() -> None:
    cases = [seeded(seed, SMALL)[1] for seed in range(200)]
    rounds = [one for case in cases for one in case.rounds]
    assert {answer for one in rounds for _, answer in one.answers} >= {"yes", "slightly", "no", "unsure"}
    assert {len(case.rounds) for case in cases} == {1, 2, 3}
    assert sum(bool(one.readings) for one in rounds) > 50
    gaps = [one.gap for one in rounds if one.gap is not None]
    assert sum(gap.operation is None for gap in gaps) > 20
    assert sum(gap.new_sitting for gap in gaps) > 50
