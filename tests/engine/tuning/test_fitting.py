"""Counting and fitting, beside what is known in closed form and by finite differences."""

from collections.abc import Sequence
from random import Random

import numpy as np
import pytest

from engine.case import Case
from engine.findings import evidence_of
from engine.network import Network, network_of
from engine.tuning.chances import Chances, Kind
from engine.tuning.counting import ReedCounts, Told, counts_of
from engine.tuning.fitting import Counter, fitted, slopes
from kb.ids import FindingId, RemedyId
from kb.model import Ruleset
from tests.support.simulated_log import tried_at_random
from tests.support.small import NO, SLIGHTLY, YES, cause, effects, night, remedy, ruleset, symptom


def counter(chances: Chances, reeds: Sequence[Told]) -> Counter:
    def count(network: Network, numbers: Sequence[int]) -> list[ReedCounts]:
        return [counts_of(chances, network, reeds[number]) for number in numbers]

    return count


def told(known: Ruleset, case: Case, maker: int = 0) -> Told:
    return Told(evidence_of(known, network_of(known), case), case, maker)


def busy() -> Ruleset:
    return ruleset(
        (symptom("a"), symptom("b"), symptom("c", leak=0.05)),
        (cause("one", 0.2, a=0.8, b=0.3), cause("two", 0.1, b=0.6, c=0.9)),
        (remedy("fix", effects(one=0.6), effects(two=0.1)), night(effects(two=0.5))),
    )


def worked(known: Ruleset, planted: Network, reeds: int, seed: int) -> list[Told]:
    cases = (tried_at_random(known, planted, Random(f"{seed}:{n}"), 3) for n in range(reeds))
    return [told(known, case) for case in cases if any(one.is_told for one in case.rounds)]


def test_seven_of_ten_plainly_seen_is_eight_twelfths() -> None:
    # Laplace's rule of succession: after 7 successes in 10 trials, (7 + 1) / (10 + 2).
    # A cause is as plain as its finding when that shows always, and never for another reason.
    known = ruleset((symptom("a", leak=0.0),), (cause("one", 0.5, a=1.0),))
    reeds = [told(known, Case().with_answer(FindingId("a"), YES if n < 7 else NO)) for n in range(10)]
    chances = Chances(network_of(known))
    fit = fitted(chances, 2.0, counter(chances, reeds), range(10))
    # How common a cause is may not pass one half, so the law is tried on its absence.
    assert fit.values[0] == pytest.approx(0.5)
    other = [told(known, Case().with_answer(FindingId("a"), NO if n < 7 else YES)) for n in range(10)]
    fit = fitted(chances, 2.0, counter(chances, other), range(10))
    assert 1 - fit.values[0] == pytest.approx(8 / 12)


def test_a_cure_that_is_plainly_seen_follows_the_rule_of_succession_too() -> None:
    known = ruleset(
        (symptom("a", leak=0.0),), (cause("one", 0.5, a=1.0),), (remedy("fix", effects(one=0.5)),)
    )
    a, fix = FindingId("a"), RemedyId("fix")
    begun = Case().with_answer(a, YES).with_gap(fix, new_sitting=False)
    reeds = [told(known, begun.with_answer(a, NO if n < 7 else YES)) for n in range(10)]
    chances = Chances(network_of(known))
    fit = fitted(chances, 2.0, counter(chances, reeds), range(10))
    assert fit.values[[slot.kind for slot in chances.slots].index(Kind.CURES)] == pytest.approx(8 / 12)


def test_no_pass_lowers_what_is_fitted() -> None:
    known = busy()
    chances = Chances(network_of(known))
    planted = chances.network_with(np.array([0.4, 0.03, 0.4, 0.6, 0.3, 0.95, 0.9, 0.2]))
    reeds = worked(known, planted, 40, 3)
    fit = fitted(chances, 5.0, counter(chances, reeds), range(len(reeds)))
    rises = np.diff(fit.history)
    assert fit.settled
    assert len(rises) > 3
    assert (rises >= -1e-9).all()


def rise(chances: Chances, count: Counter, number: int, reeds: Sequence[int], step: float = 1e-5) -> float:
    """How the evidence rises with the log-odds of one chance, by finite differences."""

    def evidence(by: float) -> float:
        values = chances.stated.copy()
        odds = values[number] / (1 - values[number]) * np.exp(by)
        values[number] = odds / (1 + odds)
        return sum(one.log_evidence for one in count(chances.network_with(values), reeds))

    return (evidence(step) - evidence(-step)) / (2 * step)


def test_slopes_are_those_of_the_evidence() -> None:
    known = busy()
    chances = Chances(network_of(known))
    reeds = worked(known, chances.network, 8, 5)
    reeds.append(told(known, Case().with_answer(FindingId("b"), SLIGHTLY).with_gap(None, new_sitting=True)))
    count, numbers = counter(chances, reeds), range(len(reeds))
    found = slopes(chances, chances.stated, count(chances.network, numbers)).sum(axis=0)
    for number in range(len(chances.slots)):
        assert found[number] == pytest.approx(rise(chances, count, number, numbers), abs=1e-6)


def test_slopes_of_a_cause_with_many_links_are_those_of_the_evidence_too() -> None:
    # So many answers that the tables sweep its links one by one.
    names = [f"f{number}" for number in range(9)]
    known = ruleset(
        tuple(symptom(name) for name in names),
        (cause("one", 0.2, **dict.fromkeys(names, 0.6)), cause("two", 0.1, f0=0.5)),
    )
    chances = Chances(network_of(known))
    case = Case()
    for name in names[:8]:
        case = case.with_answer(FindingId(name), YES)
    case = case.with_answer(FindingId(names[8]), NO)
    count = counter(chances, [told(known, case)])
    found = slopes(chances, chances.stated, count(chances.network, [0]))[0]
    for number in range(len(chances.slots)):
        assert found[number] == pytest.approx(rise(chances, count, number, [0]), abs=1e-6)


def test_what_was_never_put_to_the_test_stays_as_it_was() -> None:
    known = busy()
    chances = Chances(network_of(known))
    reeds = [told(known, Case().with_answer(FindingId("c"), NO))]
    fit = fitted(chances, 20.0, counter(chances, reeds), [0])
    assert fit.values[0] == chances.stated[0]
    assert fit.values[1] < chances.stated[1]
    assert list(fit.values[2:4]) == list(chances.stated[2:4])


def test_without_reeds_everything_stays_as_it_was() -> None:
    chances = Chances(network_of(busy()))
    fit = fitted(chances, 20.0, counter(chances, []), [])
    assert list(fit.values) == pytest.approx(list(chances.stated))


def test_answers_that_cannot_all_be_true_count_for_nothing() -> None:
    known = ruleset((symptom("a", leak=0.0),), (cause("one", 0.3, a=1.0),))
    a = FindingId("a")
    torn = Case().with_answer(a, YES).with_gap(None, new_sitting=False).with_answer(a, NO)
    chances = Chances(network_of(known))
    fit = fitted(chances, 20.0, counter(chances, [told(known, torn)]), [0])
    assert fit.log_evidence == 0.0
    assert list(fit.values) == pytest.approx(list(chances.stated))
