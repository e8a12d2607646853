"""One round is weighed by plainer sums than several, with the same result as the general sweep."""

from fractions import Fraction

import pytest

from engine.belief import believe
from engine.case import Case
from engine.findings import evidence_of
from engine.folding import fold_until_narrow
from engine.network import network_of
from engine.oneround import one_round
from engine.posterior import posterior_of
from engine.refusal import TooWideError
from kb.ids import CauseId, FindingId, RulesetId
from kb.model import Answer, Cause, Finding, Ruleset, Show
from tests.bench.networks import lump, told, workshop
from tests.support.brute import judge


@pytest.mark.parametrize("positives", [1, 4, 8, 12, 16])
def test_a_studio_sized_network_is_weighed_as_by_the_general_sweep(positives: int) -> None:
    ruleset = workshop(1)
    for seed in range(4):
        case = told(ruleset, seed, 1, positives)
        folded = fold_until_narrow(ruleset, case)
        swept = posterior_of(folded.ground, folded.plan)
        belief = believe(ruleset, case)
        assert belief.log_evidence == pytest.approx(swept.log_evidence, rel=1e-12)
        assert belief.unlisted == pytest.approx(swept.unlisted, abs=1e-12)
        assert belief.rounds[0] == pytest.approx(swept.presence[0].tolist(), rel=1e-11)


def test_private_causes_of_very_different_weight_keep_their_digits() -> None:
    """What the others explain must not be found by taking one's own share away again."""
    sign = Finding(FindingId("sign"), "Sign", "Sign?", is_sign=True, leak=1e-14)
    causes = tuple(
        Cause(CauseId(f"c{n}"), f"C{n}", chance, (Show(sign.id, 0.9),))
        for n, chance in enumerate((0.5, 1e-13, 2e-13))
    )
    ruleset = Ruleset(RulesetId("rare"), "Rare", "1", findings=(sign,), causes=causes)
    case = Case().with_answer(sign.id, Answer.YES)
    judged = judge(ruleset, case, Fraction)
    for cause, chance in believe(ruleset, case).causes:
        assert chance == pytest.approx(float(judged.now[cause]), rel=1e-12)


def test_more_sets_than_allowed_are_refused_and_left_to_the_general_sweep() -> None:
    ruleset = lump(1, 6, 8)
    case = told(ruleset, 1, 1, 8, 0)
    network = network_of(ruleset)
    said = evidence_of(ruleset, network, case)
    with pytest.raises(TooWideError):
        one_round(network, said, 1 << 7)
    assert one_round(network, said, 1 << 8).presence.shape == (6,)
    with pytest.raises(TooWideError):
        believe(ruleset, case, widest=1 << 7)
