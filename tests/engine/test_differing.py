"""Where two rulesets advise differently: what is found is true, as small as it can be, and not made up."""

import random
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.advice import advise
from engine.case import Case, Gap, Round
from engine.differing import Difference, Part, Sighting, Summed, sightings, summed
from engine.following import Advised
from engine.playing import play
from engine.smallest import MOST, smallest
from engine.step import Kind
from engine.twonames import GuestReed, voices
from engine.virtual import drawn_with_a_symptom
from kb.compare.changes import compare
from kb.ids import CauseId, FindingId, QuantityId, RemedyId
from kb.load import load_file
from kb.model import Answer, Ending, Ruleset
from tests.support.strategies import LAW

GOLDEN = Path(__file__).resolve().parents[1] / "golden"


def ruleset(name: str) -> Ruleset:
    found = load_file(GOLDEN / f"penny-whistle-{name}.yaml").ruleset
    assert found is not None
    return found


HILL, HARBOUR, WHISTLE = ruleset("hill"), ruleset("harbour"), ruleset("voicing")


def source_of(number: int) -> random.Random:
    return random.Random(f"1:{number}")


def met(before: Ruleset, after: Ruleset, reeds: int) -> list[Sighting]:
    renamed = compare(before, after).called_otherwise
    return list(sightings(before, after, renamed, reeds, source_of))


@pytest.fixture(scope="module")
def studios() -> list[Sighting]:
    return met(HILL, HARBOUR, 20)


def steps(case: Case) -> tuple[tuple[Kind, str] | None, ...]:
    """Give what each studio says of a case, asked afresh."""
    found: list[tuple[Kind, str] | None] = []
    for voice in voices(HILL, HARBOUR, compare(HILL, HARBOUR).called_otherwise):
        step = advise(voice.ruleset, voice.seen(case)).step
        found.append(None if step is None else (step.kind, voice.jointly(step.id)))
    return tuple(found)


def of_steps(found: Iterable[Summed]) -> list[Difference]:
    return [one.difference for one in found if one.difference.part is not Part.CAUSE]


def test_what_is_reported_is_what_both_advise(studios: list[Sighting]) -> None:
    differences = of_steps(summed(studios))
    assert len(differences) >= 3
    for one in differences:
        assert steps(one.case) == tuple((side.kind, side.id) for side in (one.before, one.after))
        assert one.before != one.after


def test_no_answer_of_a_smallest_case_can_be_spared(studios: list[Sighting]) -> None:
    for one in of_steps(summed(studios)):
        for number, each in enumerate(one.case.rounds):
            for finding, _ in each.answers:
                assert steps(one.case.without_answer(number, finding)) != steps(one.case)


def test_two_answers_tell_the_studios_apart(studios: list[Sighting]) -> None:
    first = summed(studios)[0]
    assert dict(first.difference.case.present.answers) == {
        "windway-high": Answer.NO,
        "low-notes-break": Answer.YES,
    }
    # Renamed from smooth-lip to polish-lip, and known to be the same.
    assert (first.difference.before.id, first.difference.after.id) == ("polish-lip", "warm-hands")
    assert first.reeds >= summed(studios)[1].reeds


def test_the_same_seed_finds_the_same(studios: list[Sighting]) -> None:
    assert met(HILL, HARBOUR, 20) == studios


def test_reeds_are_drawn_from_both_in_turn(studios: list[Sighting]) -> None:
    assert [one.is_of_before for one in studios if one.reed is not None] == [True, False] * 10


def test_what_is_called_otherwise_only_is_advised_alike() -> None:
    renamed = replace(
        WHISTLE,
        causes=tuple(
            replace(one, id=CauseId("wet-block")) if one.id == "damp-block" else one for one in WHISTLE.causes
        ),
        operations=tuple(
            replace(one, cures=tuple(replace(cure, cause=CauseId("wet-block")) for cure in one.cures))
            if one.id == "overnight"
            else one
            for one in WHISTLE.operations
        ),
    )
    found = met(WHISTLE, renamed, 12)
    assert not summed(found)
    assert not any(one.ended.differ for one in found if one.ended is not None)
    assert {one.title for one in found if one.reed is None} == {"A tall windway is shimmed first"}


def test_a_worked_case_that_both_have_is_tried_once(studios: list[Sighting]) -> None:
    assert [one.title for one in studios if one.reed is None] == ["A tall windway is shimmed first"]


def test_a_ruleset_without_symptoms_has_no_reeds_to_try() -> None:
    bare = replace(WHISTLE, findings=(), causes=(), operations=(), opening=(), trials=())
    assert met(bare, bare, 4) == []


# -- two names ----------------------------------------------------------------------------------------


def test_each_sees_of_a_case_what_exists_in_it() -> None:
    hill, harbour = voices(HILL, HARBOUR, compare(HILL, HARBOUR).called_otherwise)
    worked = Round(
        answers=((FindingId("windway-high"), Answer.YES), (FindingId("only-there"), Answer.NO)),
        readings=((QuantityId("windway-height"), 1.0), (QuantityId("only-there"), 2.0)),
        gap=Gap(RemedyId("polish-lip"), new_sitting=False),
    )
    waited = replace(worked, gap=Gap(RemedyId("warm-hands"), new_sitting=False))
    case = Case((worked, waited, Round()))
    seen = hill.seen(case)
    assert [one.gap and one.gap.operation for one in seen.rounds] == ["smooth-lip", None, None]
    assert dict(seen.rounds[0].answers) == {"windway-high": Answer.YES}
    assert dict(seen.rounds[0].readings) == {"windway-height": 1.0}
    assert [one.gap and one.gap.operation for one in harbour.seen(case).rounds] == [
        "polish-lip",
        "warm-hands",
        None,
    ]
    assert hill.told(hill.seen(Case((worked, Round())))).rounds[0].gap == worked.gap


def test_a_guest_meets_the_same_reed_as_its_host() -> None:
    host, guest = voices(WHISTLE, WHISTLE, {})
    for number in range(6):
        ends = []
        for as_guest in (False, True):
            source = source_of(number)
            reed = drawn_with_a_symptom(WHISTLE, source)
            assert reed is not None
            drawn = GuestReed.of(reed, host, guest) if as_guest else reed
            ends.append(play(WHISTLE, Advised(WHISTLE), drawn, source))
        assert ends[0] == ends[1]


def test_nobody_can_be_sure_of_what_a_reeds_own_ruleset_does_not_know() -> None:
    more = replace(WHISTLE, findings=(*WHISTLE.findings, replace(WHISTLE.findings[0], id=FindingId("new"))))
    host, guest = voices(WHISTLE, more, {})
    drawn = drawn_with_a_symptom(WHISTLE, source_of(0))
    assert drawn is not None
    reed = GuestReed.of(drawn, host, guest)
    assert reed.answer(FindingId("new")) is Answer.UNSURE
    assert not reed.shows(FindingId("new"))
    after = reed.after(RemedyId("nothing-known"), source_of(1), new_sitting=False)
    assert after.answer(FindingId("new")) is Answer.UNSURE


# -- the smallest case ---------------------------------------------------------------------------------

_IDS = [FindingId(f"f-{number}") for number in range(12)]


@st.composite
def cases_with_a_core(draw: st.DrawFn) -> tuple[Case, frozenset[tuple[str, str]]]:
    """Cases of one to three rounds, and which of their answers matter."""
    rounds = []
    for number in range(draw(st.integers(1, 3))):
        asked = draw(st.lists(st.sampled_from(_IDS), unique=True, max_size=8))
        answers = tuple((id_, draw(st.sampled_from(list(Answer)))) for id_ in asked)
        rounds.append(Round(answers=answers, sitting=number + 1))
    ended = [replace(one, gap=Gap(None, new_sitting=True)) for one in rounds[:-1]]
    case = Case((*ended, rounds[-1]))
    every = [(id_, answer) for one in case.rounds for id_, answer in one.answers]
    core = draw(st.frozensets(st.sampled_from(every), max_size=4)) if every else frozenset()
    return case, frozenset((str(id_), str(answer)) for id_, answer in core)


@LAW
@given(cases_with_a_core())
def test_what_matters_stays_and_all_else_is_dropped(drawn: tuple[Case, frozenset[tuple[str, str]]]) -> None:
    case, core = drawn
    tried = 0

    def shows(smaller: Case) -> bool:
        nonlocal tried
        tried += 1
        return core <= {(str(id_), str(answer)) for one in smaller.rounds for id_, answer in one.answers}

    least = smallest(case, shows)
    assert tried <= MOST
    left = [(str(id_), str(answer)) for one in least.rounds for id_, answer in one.answers]
    assert set(left) == core
    assert len(left) == len(core)


def test_a_case_that_never_gets_smaller_is_left_as_it_is_after_some_tries() -> None:
    case = Case((Round(answers=tuple((FindingId(f"f-{n}"), Answer.YES) for n in range(300))),))
    tried: list[Case] = []

    def never(smaller: Case) -> bool:
        tried.append(smaller)
        return False

    assert smallest(case, never) == case
    assert len(tried) <= MOST


def test_an_end_is_a_step_like_another(studios: list[Sighting]) -> None:
    ends = {one.before.id for one in of_steps(summed(studios)) if one.before.kind is Kind.STOP}
    assert Ending.ACCEPT in ends
