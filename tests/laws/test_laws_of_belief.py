"""What must hold of belief whatever the ruleset: laws, tried on made-up rulesets and cases."""

import random
from dataclasses import replace
from math import exp, inf, log

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from engine.belief import believe
from engine.case import Case, Round
from engine.conflict import disagreeing
from engine.explain import LEAST, reasons
from engine.together import pairs
from kb.ids import CauseId, FindingId, RulesetId
from kb.model import Answer, Finding, QuantityRead, Ruleset, Show
from tests.support.brute import judge
from tests.support.strategies import LAW, Size, reordered, situations

Situation = tuple[Ruleset, Case]
seeds = st.integers(0, 2**32)


def with_rounds(case: Case, change: "dict[int, Round]") -> Case:
    return Case(tuple(change.get(number, one) for number, one in enumerate(case.rounds)))


@LAW
@given(situations(), seeds)
def test_the_order_of_findings_is_irrelevant(situation: Situation, seed: int) -> None:
    ruleset, case = situation
    source = random.Random(seed)
    mixed = Case(
        tuple(
            replace(one, answers=tuple(source.sample(one.answers, len(one.answers)))) for one in case.rounds
        )
    )
    assert believe(ruleset, mixed) == believe(ruleset, case)


@LAW
@given(situations(), seeds)
def test_belief_does_not_depend_on_the_order_of_the_file(situation: Situation, seed: int) -> None:
    ruleset, case = situation
    assert believe(reordered(ruleset, seed), case) == believe(ruleset, case)


@LAW
@given(situations())
def test_no_findings_gives_the_prior(situation: Situation) -> None:
    ruleset, _ = situation
    belief = believe(ruleset, Case())
    assert belief.evidence == pytest.approx(1.0, abs=1e-12)
    assert belief.unlisted == 0.0
    assert dict(belief.causes) == pytest.approx({cause.id: cause.how_common for cause in ruleset.causes})


@LAW
@given(situations(), st.sampled_from([Answer.YES, Answer.NO]), st.floats(0.01, 0.5))
def test_a_finding_that_no_cause_touches_changes_nothing_but_the_evidence(
    situation: Situation, answer: Answer, leak: float
) -> None:
    ruleset, case = situation
    lonely = Finding(FindingId("lonely"), "Lonely", "Lonely?", is_sign=True, leak=leak)
    wider = replace(ruleset, findings=(*ruleset.findings, lonely))
    before, after = believe(wider, case), believe(wider, case.with_answer(lonely.id, answer))
    assume(before.is_possible)
    assert dict(after.causes) == pytest.approx(dict(before.causes), abs=1e-12)
    share = leak if answer is Answer.YES else 1 - leak
    assert after.evidence == pytest.approx(before.evidence * share, rel=1e-9)


@LAW
@given(situations())
def test_a_finding_that_was_not_answered_may_as_well_not_exist(situation: Situation) -> None:
    ruleset, case = situation
    silent = {
        finding.id
        for finding in ruleset.findings
        if all(one.answer(finding.id) is None for one in case.rounds) and finding.read is None
    }
    assume(silent)
    causes = tuple(
        replace(cause, shows=tuple(show for show in cause.shows if show.finding not in silent))
        for cause in ruleset.causes
    )
    findings = tuple(finding for finding in ruleset.findings if finding.id not in silent)
    smaller = believe(replace(ruleset, causes=causes, findings=findings), case)
    assert dict(smaller.causes) == pytest.approx(dict(believe(ruleset, case).causes), abs=1e-12)


@LAW
@given(situations(), seeds)
def test_renaming_ids_permutes_the_belief(situation: Situation, seed: int) -> None:
    ruleset, case = situation
    names = [cause.id for cause in ruleset.causes]
    others = dict(zip(names, random.Random(seed).sample(names, len(names)), strict=True))
    told = [finding.id for finding in ruleset.findings]
    called = dict(zip(told, [FindingId(f"x-{name}") for name in reversed(told)], strict=True))
    renamed = _renamed(ruleset, others, called)
    answered = Case(
        tuple(
            replace(one, answers=tuple((called[id_], answer) for id_, answer in one.answers))
            for one in case.rounds
        )
    )
    expected = {others[id_]: chance for id_, chance in believe(ruleset, case).causes}
    assert dict(believe(renamed, answered).causes) == pytest.approx(expected, abs=1e-12)


def _renamed(ruleset: Ruleset, others: dict[CauseId, CauseId], called: dict[FindingId, FindingId]) -> Ruleset:
    causes = tuple(
        replace(
            cause,
            id=others[cause.id],
            shows=tuple(replace(show, finding=called[show.finding]) for show in cause.shows),
        )
        for cause in ruleset.causes
    )
    operations = tuple(
        replace(
            one,
            cures=tuple(replace(effect, cause=others[effect.cause]) for effect in one.cures),
            provokes=tuple(replace(effect, cause=others[effect.cause]) for effect in one.provokes),
            recheck=(),
            unless=(),
        )
        for one in ruleset.operations
    )
    findings = tuple(replace(finding, id=called[finding.id]) for finding in ruleset.findings)
    return replace(ruleset, causes=causes, operations=operations, findings=findings)


@LAW
@given(situations())
def test_unsure_is_the_same_as_not_asked(situation: Situation) -> None:
    ruleset, case = situation
    silent = Case(
        tuple(
            replace(one, answers=tuple(pair for pair in one.answers if pair[1] is not Answer.UNSURE))
            for one in case.rounds
        )
    )
    assert believe(ruleset, silent) == believe(ruleset, case)


@LAW
@given(situations())
def test_an_early_yes_is_kept_but_is_no_evidence(situation: Situation) -> None:
    ruleset, case = situation
    late = {finding.id for finding in ruleset.symptoms if finding.counts_from_sitting > 1}
    early = {
        number: replace(
            one,
            answers=tuple(
                (id_, answer)
                for id_, answer in one.answers
                if not (
                    id_ in late
                    and answer.is_present
                    and one.sitting < ruleset.finding[id_].counts_from_sitting
                )
            ),
        )
        for number, one in enumerate(case.rounds)
    }
    without = believe(ruleset, with_rounds(case, early))
    assert without.evidence == pytest.approx(believe(ruleset, case).evidence, rel=1e-12)


IMPOSSIBLE = Size(rounds=(1, 2))


@LAW
@given(situations(IMPOSSIBLE))
def test_impossible_answers_are_named_and_a_smallest_set_of_them(situation: Situation) -> None:
    ruleset, case = _made_certain(situation)
    assume(judge(ruleset, case).evidence == 0)
    belief = believe(ruleset, case)
    assert (belief.evidence, belief.log_evidence, belief.causes) == (0.0, -inf, ())
    named = disagreeing(ruleset, case)
    assert named
    alone = _only(ruleset, case, set(named))
    assert judge(ruleset, alone).evidence == 0
    for one in named:
        assert judge(ruleset, _only(ruleset, case, set(named) - {one})).evidence > 0


def _made_certain(situation: Situation) -> Situation:
    """Leave no reason unlisted and no link in doubt, so that answers often contradict each other."""
    ruleset, case = situation
    findings = tuple(replace(finding, leak=0.0, read=None) for finding in ruleset.findings)
    causes = tuple(
        replace(cause, shows=tuple(replace(show, strength=1.0) for show in cause.shows))
        for cause in ruleset.causes
    )
    bare = Case(tuple(replace(one, readings=()) for one in case.rounds))
    return replace(ruleset, findings=findings, causes=causes), bare


def _only(ruleset: Ruleset, case: Case, kept: set[tuple[int, FindingId]]) -> Case:
    assert all(id_ in ruleset.finding for _, id_ in kept)
    return Case(
        tuple(
            replace(one, answers=tuple(pair for pair in one.answers if (number, pair[0]) in kept))
            for number, one in enumerate(case.rounds, start=1)
        )
    )


@LAW
@given(situations(Size(certain=False)))
def test_explained_weights_are_the_log_odds_left_out_one_by_one(situation: Situation) -> None:
    ruleset, case = situation
    whole = judge(ruleset, case)
    assume(whole.evidence > 0)
    for reason in reasons(ruleset, case):
        found = {(weight.round, weight.finding): weight.nats for weight in reason.weights}
        for number, one in enumerate(case.rounds, start=1):
            for finding, answer in one.answers:
                without = judge(ruleset, case.without_answer(number - 1, finding))
                nats = _log_odds(whole.now[reason.cause]) - _log_odds(without.now[reason.cause])
                if answer is Answer.UNSURE or abs(nats) < LEAST - 1e-9:
                    assert (number, finding) not in found or _reads(ruleset, finding)
                elif abs(nats) > LEAST + 1e-9:
                    assert found[number, finding] == pytest.approx(nats, abs=1e-6)


def _reads(ruleset: Ruleset, finding: FindingId) -> bool:
    return isinstance(ruleset.finding[finding].read, QuantityRead)


def _log_odds(chance: float) -> float:
    if chance <= 0:
        return -inf
    return inf if chance >= 1 else log(chance) - log(1 - chance)


def test_the_evidence_too_small_for_a_float_is_still_told_by_its_logarithm() -> None:
    findings = tuple(
        Finding(FindingId(f"sign-{n}"), f"Sign {n}", f"Sign {n}?", is_sign=True, leak=1e-9) for n in range(40)
    )
    ruleset, case = Ruleset(RulesetId("wide"), "Wide", "1.0.0", findings=findings), Case()
    for finding in findings:
        case = case.with_answer(finding.id, Answer.YES)
    belief = believe(ruleset, case)
    assert belief.log_evidence == pytest.approx(40 * log(1e-9), rel=1e-12)
    assert belief.evidence == 0.0 == exp(belief.log_evidence)
    assert belief.is_possible


@given(situations(Size(certain=False)))
def test_the_chance_of_a_pair_is_that_of_the_one_times_that_of_the_other_beside_it(
    situation: Situation,
) -> None:
    """A witness that only the one cause shows, always and without a leak, says that it is there now."""
    ruleset, case = situation
    belief = believe(ruleset, case)
    assume(belief.is_possible)
    (one, chance), *others = belief.causes[:3]
    witness = Finding(FindingId("witness"), "witness", "witness?", is_sign=True, leak=0.0)
    known = replace(
        ruleset,
        findings=(*ruleset.findings, witness),
        causes=tuple(
            replace(cause, shows=(*cause.shows, Show(witness.id, 1.0))) if cause.id == one else cause
            for cause in ruleset.causes
        ),
    )
    beside = believe(known, case.with_answer(witness.id, Answer.YES))
    for pair in pairs(ruleset, case, [one, *(other for other, _ in others)]):
        if one in (pair.one, pair.other):
            other = pair.other if pair.one == one else pair.one
            assert pair.both == pytest.approx(chance * beside.chance(other), abs=1e-9)
