"""A cause that can explain too many sets to list is swept link by link: the same belief, exactly."""

import numpy as np
import pytest

from engine import ground
from engine.advice import advise
from engine.belief import belief_of, believe, link_posteriors
from engine.case import Case
from engine.folding import fold_until_narrow
from engine.futures import Changes, Futures, Rows
from engine.lookahead import Budget
from engine.outlook import Outlook
from kb.ids import CauseId, FindingId, PriorityId, RulesetId
from kb.model import Answer, Cause, Finding, Priority, Ruleset, Show
from tests.support.brute import judge
from tests.support.strategies import seeded

RESPONSE = PriorityId("response")


@pytest.mark.parametrize("seed", range(60))
def test_sweeping_link_by_link_equals_brute_force(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    ruleset, case = seeded(seed)
    monkeypatch.setattr(ground, "MOST_LISTED", 0)
    belief, judged = belief_of(fold_until_narrow(ruleset, case)), judge(ruleset, case)
    assert belief.evidence == pytest.approx(float(judged.evidence), abs=1e-12)
    if not belief.is_possible:
        return
    assert belief.unlisted == pytest.approx(float(judged.unlisted), abs=1e-9)
    for cause, chance in belief.causes:
        assert chance == pytest.approx(float(judged.now[cause]), abs=1e-9)
    for cause, finding, chance in link_posteriors(ruleset, case):
        assert chance == pytest.approx(float(judged.links[cause, finding]), abs=1e-9)


@pytest.mark.parametrize("seed", range(30))
def test_a_narrow_look_ahead_advises_something_allowed(seed: int) -> None:
    ruleset, case = seeded(seed)
    whole, narrow = advise(ruleset, case), advise(ruleset, case, budget=Budget(width=0))
    assert narrow.belief == whole.belief
    assert (narrow.step is None) == (whole.step is None)


def test_many_findings_that_hang_together_are_weighed_exactly_and_answered() -> None:
    findings = tuple(
        Finding(FindingId(f"f{n:02}"), f"F{n}", f"F{n}?", priority=None if n else RESPONSE) for n in range(16)
    )
    causes = tuple(
        Cause(
            CauseId(f"c{n:02}"),
            f"C{n}",
            0.1,
            tuple(Show(one.id, 0.5) for place, one in enumerate(findings) if (place * 7 + n * 3) % 5),
        )
        for n in range(12)
    )
    ruleset = Ruleset(
        RulesetId("wide"),
        "Wide",
        "1",
        priorities=(Priority(RESPONSE, "P"),),
        findings=findings,
        causes=causes,
    )
    case = Case()
    for one in findings[:14]:
        case = case.with_answer(one.id, Answer.YES)
    belief = believe(ruleset, case)
    assert belief.exact
    assert sum(chance for _, chance in belief.causes) > 1.0


def test_looking_ahead_is_no_dearer_for_all_that_was_asked_before() -> None:
    """Were each link that has a history told apart from the others, there would be 2^24 cases here."""
    findings = tuple(
        Finding(FindingId(f"f{n:02}"), f"F{n}", f"F{n}?", priority=None if n else RESPONSE) for n in range(24)
    )
    causes = (
        Cause(CauseId("all"), "All", 0.1, tuple(Show(one.id, 0.5) for one in findings)),
        Cause(CauseId("half"), "Half", 0.2, tuple(Show(one.id, 0.3) for one in findings[::2])),
    )
    ruleset = Ruleset(
        RulesetId("told"),
        "Told",
        "1",
        priorities=(Priority(RESPONSE, "P"),),
        findings=findings,
        causes=causes,
    )
    case = Case().with_answer(findings[0].id, Answer.YES)
    for one in findings[1:]:
        case = case.with_answer(one.id, Answer.NO)
    case = case.with_gap(None, new_sitting=True).with_answer(findings[0].id, Answer.YES)
    folded = fold_until_narrow(ruleset, case)
    nothing = np.zeros((1, 2))
    futures = Futures(folded.ground, range(1, 24), Changes(nothing, nothing))
    looks = Rows(np.zeros((23, 0), dtype=np.int64), 1 << np.arange(23)[:, None])
    clear = [1.0 - Outlook(folded).any_shows([finding]) for finding in range(1, 24)]
    assert list(futures.chances(looks)) == pytest.approx(clear, abs=1e-12)
