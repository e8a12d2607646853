"""Questions about behaviour: a planted fault is found, and without it nothing is said."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from engine.review import beaten_remedy, hopeless_cause, idle_question, twin_causes
from engine.review.questions import QUESTIONS, review
from engine.review.sample import REEDS, Sample
from engine.review.twin_causes import best_guess
from kb.checks.runner import run
from kb.ids import CauseId, RemedyId
from kb.load import load_file
from kb.model import Allowance, Cause, Effect, Ruleset, Show
from kb.problem import CheckName
from tui.wiring import chance_of

GOLDEN = Path(__file__).resolve().parents[1] / "golden" / "penny-whistle-voicing.yaml"


@pytest.fixture(scope="module")
def whistle() -> Ruleset:
    ruleset = load_file(GOLDEN).ruleset
    assert ruleset is not None
    return ruleset


def sample_of(ruleset: Ruleset) -> Sample:
    return Sample(ruleset, lambda number: chance_of(1, number))


def found(ruleset: Ruleset) -> Iterator[tuple[CheckName, str]]:
    for name, several in review(sample_of(ruleset)):
        yield from ((name, one.entry.id if one.entry is not None else "") for one in several)


def with_twin(ruleset: Ruleset, strengths: float = 1.0) -> Ruleset:
    """Plant a second cause that shows what the first does, and a remedy of its own."""
    first, pattern = ruleset.causes[0], ruleset.remedies[0]
    shows = tuple(replace(show, strength=show.strength * strengths) for show in first.shows)
    twin = replace(first, id=CauseId("twin"), shows=shows)
    remedy = replace(pattern, id=RemedyId("for-twin"), cures=(Effect(twin.id, 0.8),))
    return replace(ruleset, causes=(*ruleset.causes, twin), operations=(*ruleset.operations, remedy))


def test_the_example_of_the_format_behaves(whistle: Ruleset) -> None:
    assert list(found(whistle)) == []


def test_a_planted_twin_is_found_and_a_near_twin_too(whistle: Ruleset) -> None:
    for strengths in (1.0, 0.95):
        twins = list(twin_causes.judge(sample_of(with_twin(whistle, strengths))))
        assert [one.entry.id for one in twins if one.entry is not None] == ["twin"]


def test_causes_that_show_clearly_different_strengths_are_no_twins(whistle: Ruleset) -> None:
    assert list(twin_causes.judge(sample_of(with_twin(whistle, 0.3)))) == []


def test_a_twin_that_the_same_remedy_serves_does_not_matter(whistle: Ruleset) -> None:
    first = whistle.causes[0]
    twin = replace(first, id=CauseId("twin"))
    serving = tuple(
        replace(one, cures=(*one.cures, *(replace(cure, cause=twin.id) for cure in one.cures)))
        if any(cure.cause == first.id for cure in one.cures)
        else one
        for one in whistle.operations
    )
    alike = replace(whistle, causes=(*whistle.causes, twin), operations=serving)
    assert list(twin_causes.judge(sample_of(alike))) == []


@pytest.mark.parametrize("here, there", [(0.8, 0.8), (0.8, 0.6), (0.97, 0.1), (1.0, 0.0)])
def test_the_bound_on_guessing_is_a_bound(whistle: Ruleset, here: float, there: float) -> None:
    # With one finding the best guess is right with chance (1 + |p - q|) / 2, from first principles.
    finding = replace(whistle.findings[0], leak=0.0)
    alone = replace(whistle, findings=(finding,))
    one, other = (Cause(CauseId("c"), "C", 0.1, (Show(finding.id, strength),)) for strength in (here, there))
    assert (1.0 + abs(here - there)) / 2.0 - 1e-12 <= best_guess(alone, one, other) <= 1.0
    assert best_guess(alone, one, one) == pytest.approx(0.5, abs=1e-7)


def test_a_night_that_says_it_brings_nothing_is_not_beaten_by_one_that_does_not_say(whistle: Ruleset) -> None:
    (rest,) = whistle.rests
    block = whistle.causes[2].id
    sealed = replace(rest, id=RemedyId("sealed"), minutes=rest.minutes + 1, provokes=(Effect(block, 0.0),))
    both = replace(whistle, operations=(*whistle.operations, sealed))
    assert [*beaten_remedy.judge(sample_of(both))] == []
    plain = replace(rest, id=RemedyId("longer"), minutes=rest.minutes + 1)
    slower = replace(whistle, operations=(*whistle.operations, plain))
    assert [one.entry.id for one in beaten_remedy.judge(sample_of(slower)) if one.entry] == ["longer"]


def test_the_same_reeds_come_each_time_and_say_the_same(whistle: Ruleset) -> None:
    one, other = sample_of(whistle).reeds, sample_of(whistle).reeds
    assert one == other
    assert len(one) == REEDS


def test_a_ruleset_in_which_nothing_is_wrong_is_asked_all_the_same(whistle: Ruleset) -> None:
    bare = Ruleset(whistle.id, "Empty", "1.0.0")
    assert list(found(bare)) == []
    assert sample_of(bare).reeds == ()


def test_what_was_found_can_be_allowed_and_an_allowance_of_nothing_is_told(whistle: Ruleset) -> None:
    allowance = (Allowance("twin-causes", "Nobody knows how."),)
    planted = with_twin(whistle)
    *others, twin = planted.causes
    allowed = replace(planted, causes=(*others, replace(twin, allow=allowance)))
    deep = dict(review(sample_of(allowed)))
    names = {problem.check for problem in run(allowed, deep=deep)}
    assert not {"twin-causes", "allow-without-effect"} & names
    idle = replace(whistle, causes=(replace(whistle.causes[0], allow=allowance), *whistle.causes[1:]))
    assert "allow-without-effect" in {one.check for one in run(idle, deep=dict(review(sample_of(idle))))}
    assert "allow-without-effect" not in {one.check for one in run(idle)}


def test_a_question_that_was_not_answered_to_the_end_judges_no_allowance(whistle: Ruleset) -> None:
    allowance = (Allowance("hopeless-cause", "It is looked up."),)
    idle = replace(whistle, causes=(replace(whistle.causes[0], allow=allowance), *whistle.causes[1:]))
    answers = dict(review(sample_of(idle)))
    del answers[hopeless_cause.NAME]
    assert "allow-without-effect" not in {one.check for one in run(idle, deep=answers)}


def test_who_waits_is_told_what_is_being_asked(whistle: Ruleset) -> None:
    heard: list[str] = []
    list(review(Sample(whistle, lambda number: chance_of(1, number), heard.append)))
    assert {question.name for question in QUESTIONS} <= set(heard)
    assert any(line.startswith(idle_question.NAME) and "of" in line for line in heard)
