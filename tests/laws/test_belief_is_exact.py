"""Belief equals brute force over all life lines, links and backgrounds (tests/support/brute.py).

Up to three rounds, all kinds of answers, readings and gaps; to 1e-9 as promised, and in truth to
far less. The brute force shares no code with the engine.
"""

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given

from engine.belief import belief_of, believe, link_posteriors
from engine.case import Case
from engine.folding import fold_until_narrow
from engine.futures import Changes, Futures, Rows
from engine.network import change_of
from engine.outlook import Outlook
from kb.model import Ruleset
from tests.support.brute import gone_after, judge
from tests.support.strategies import LAW, Size, seeded, situations

NEAR = 1e-9


def assert_equal_to_brute_force(ruleset: Ruleset, case: Case) -> None:
    judged, belief = judge(ruleset, case), believe(ruleset, case)
    swept = belief_of(fold_until_narrow(ruleset, case))  # of one round, `believe` has plainer sums
    assert dict(belief.causes) == pytest.approx(dict(swept.causes), abs=1e-12)
    assert (belief.log_evidence, belief.unlisted) == pytest.approx((swept.log_evidence, swept.unlisted))
    assert belief.exact
    if judged.evidence == 0:
        assert not belief.is_possible
        assert (belief.evidence, belief.causes) == (0.0, ())
        return
    assert belief.evidence == pytest.approx(judged.evidence, rel=NEAR)
    assert belief.unlisted == pytest.approx(judged.unlisted, abs=NEAR)
    assert dict(belief.causes) == pytest.approx(judged.now, abs=NEAR)
    assert list(belief.causes) == sorted(belief.causes, key=lambda pair: (-pair[1], pair[0]))
    ids = sorted(cause.id for cause in ruleset.causes)
    assert len(belief.rounds) == len(judged.rounds)
    for found, expected in zip(belief.rounds, judged.rounds, strict=True):
        assert dict(zip(ids, found, strict=True)) == pytest.approx(expected, abs=NEAR)
    links = {(cause, finding): chance for cause, finding, chance in link_posteriors(ruleset, case)}
    assert links == pytest.approx(judged.links, abs=NEAR)
    folded = fold_until_narrow(ruleset, case)
    findings = folded.ground.network.findings
    shows = dict(zip(findings, Outlook(folded).each_shows(range(len(findings))), strict=True))
    assert shows == pytest.approx(judged.shows, abs=NEAR)


@pytest.mark.parametrize("seed", range(200))
def test_belief_equals_brute_force_on_seeded_rulesets(seed: int) -> None:
    assert_equal_to_brute_force(*seeded(seed))


@LAW
@given(situations())
def test_belief_equals_brute_force(situation: tuple[Ruleset, Case]) -> None:
    assert_equal_to_brute_force(*situation)


@pytest.mark.parametrize("seed", range(1000, 1012))
def test_belief_equals_brute_force_over_five_rounds(seed: int) -> None:
    size = Size(causes=(2, 2), symptoms=(1, 2), signs=(0, 1), rounds=(4, 5))
    assert_equal_to_brute_force(*seeded(seed, size))


@pytest.mark.parametrize("seed", range(2000, 2010))
def test_belief_equals_brute_force_with_five_causes_that_share_everything(seed: int) -> None:
    size = Size(causes=(5, 5), symptoms=(3, 3), signs=(2, 2), rounds=(1, 2))
    assert_equal_to_brute_force(*seeded(seed, size))


@pytest.mark.parametrize("seed", range(10))
def test_belief_equals_rationals(seed: int) -> None:
    ruleset, case = seeded(seed, Size(causes=(1, 3), rounds=(1, 3)))
    judged, belief = judge(ruleset, case, Fraction), believe(ruleset, case)
    assert belief.evidence == pytest.approx(float(judged.evidence), rel=1e-12)
    for cause, chance in belief.causes:
        assert chance == pytest.approx(float(judged.now[cause]), rel=1e-12, abs=1e-300)


@pytest.mark.parametrize("seed", range(80))
def test_chances_after_a_sequence_of_operations_equal_brute_force(seed: int) -> None:
    ruleset, case = seeded(seed, Size(rounds=(1, 2), causes=(1, 3)))
    if judge(ruleset, case).evidence == 0:
        pytest.skip("the answers cannot all be true")
    ground = fold_until_narrow(ruleset, case).ground
    network = ground.network
    sequence = [ruleset.operations[(seed + n) % len(ruleset.operations)] for n in range(seed % 4)]
    going, coming = np.zeros((2, 1 + len(sequence), len(network.causes)))
    for number, operation in enumerate(sequence, start=1):
        for cause in range(len(network.causes)):
            effects = network.effect_of(operation.id)
            going[number, cause], coming[number, cause] = change_of(
                network, cause, effects, new_sitting=operation.new_sitting
            )
    watched = [symptom.id for symptom in ruleset.symptoms]
    futures = Futures(ground, [network.findings.index(id_) for id_ in watched], Changes(going, coming))
    operations = np.array([range(1, len(sequence) + 1)] * (len(watched) + 1), dtype=np.int64)
    clear = np.zeros((len(watched) + 1, len(sequence) + 1), dtype=np.int64)
    clear[:, -1] = [*(1 << n for n in range(len(watched))), (1 << len(watched)) - 1]
    *each, together = futures.chances(Rows(operations.reshape(len(watched) + 1, -1), clear))
    gone = gone_after(ruleset, case, watched, [one.id for one in sequence])
    assert dict(zip(watched, each, strict=True)) == pytest.approx(gone.each, abs=NEAR)
    assert together == pytest.approx(gone.all_of_them, abs=NEAR)
