"""Practice: a student's reed, and the review of what they made of it."""

import random
from dataclasses import replace

from engine.network import network_of
from engine.playing import End, Living, Operate
from engine.practice import Practice, StepReview, begin, review
from engine.step import Kind
from engine.virtual import VirtualReed
from kb.ids import CauseId, FindingId, RemedyId
from kb.model import Answer, Ending, Ruleset, Stakes, Undo
from tests.support.small import cause, effects, remedy, ruleset, sign, symptom

SAGS, THIN, STIFF = FindingId("sags"), FindingId("thin-seen"), FindingId("stiff")
SCRAPE, RUB, NIP = RemedyId("scrape"), RemedyId("rub"), RemedyId("nip")
RULES = ruleset(
    (symptom("sags", leak=0.0), sign("stiff"), sign("thin-seen")),
    (cause("heavy", 0.3, sags=1.0, stiff=1.0), cause("weak", 0.2, sags=1.0, thin_seen=1.0)),
    (
        remedy("scrape", effects(heavy=1.0), undo=Undo.NEVER, unless=("thin-seen",), minutes=4.0),
        remedy("rub", effects(heavy=0.5), minutes=3.0),
        remedy("nip", effects(weak=1.0), minutes=5.0),
    ),
)


def source() -> random.Random:
    return random.Random(5)


def begun(rules: Ruleset = RULES) -> Practice:
    found = begin(rules, source())
    assert found is not None
    return found


def in_hand(rules: Ruleset, *causes: str) -> Practice:
    """Give a practice whose reed is made and not drawn; its review needs the drawn one."""
    network = network_of(rules)
    links = frozenset((n, finding) for n, shown in enumerate(network.links) for finding, _ in shown)
    present = frozenset(network.causes.index(CauseId(one)) for one in causes)
    reed = VirtualReed(network, present, links, frozenset())
    return Practice(Living(rules, reed), reed)


def seed_with(rules: Ruleset, *causes: str) -> int:
    """Find a seed whose reed has just these causes."""
    for seed in range(500):
        found = begin(rules, random.Random(seed))
        assert found is not None
        if found.first.hidden == causes:
            return seed
    raise AssertionError


def reviewed(practice: Practice, seed: int) -> tuple[StepReview, ...]:
    return review(practice, random.Random(seed)).steps


def test_the_reed_answers_as_it_is_and_looking_changes_nothing() -> None:
    practice = in_hand(RULES, "heavy").looked(SAGS).looked(THIN)
    assert [one.answer for one in practice.taken] == [Answer.YES, Answer.NO]
    assert practice.living.reed == practice.first
    assert practice.minutes == 2.0
    assert [one.minutes for one in practice.taken] == [1.0, 1.0]


def test_a_remedy_begins_a_round_and_says_in_truth_what_it_mended() -> None:
    practice = in_hand(RULES, "heavy").looked(SAGS).did(SCRAPE, source())
    assert practice.taken[-1].mended == ("heavy",)
    assert practice.taken[-1].brought == ()
    assert practice.taken[-1].answer is None
    assert practice.looked(SAGS).taken[-1].answer is Answer.NO


def test_a_cut_that_a_look_would_have_forbidden_is_named() -> None:
    seed = seed_with(RULES, "weak")
    chance = random.Random(seed)
    practice = begin(RULES, chance)
    assert practice is not None
    practice = practice.looked(SAGS).did(SCRAPE, chance).ended(None)
    (step,) = reviewed(practice, seed)
    assert step.saving is not None
    assert (step.saving.finding, step.saving.shows, step.saving.forbids) == (THIN, True, True)
    assert step.advised is not None
    assert step.advised[1] != SCRAPE


def test_a_look_that_would_have_cleared_the_suspect_is_named_with_its_chances() -> None:
    rules = replace(RULES, operations=tuple(replace(one, unless=()) for one in RULES.operations))
    seed = seed_with(rules, "weak")
    chance = random.Random(seed)
    practice = begin(rules, chance)
    assert practice is not None
    practice = practice.looked(SAGS).did(SCRAPE, chance).ended(None)
    (step,) = reviewed(practice, seed)
    assert step.saving is not None
    assert (step.saving.finding, step.saving.shows, step.saving.forbids) == (STIFF, False, False)
    # Whoever is heavy is stiff for certain: a no rules it out.
    assert step.saving.before > 0.5
    assert step.saving.after < 1e-9


def test_a_remedy_that_known_findings_forbid_is_marked() -> None:
    seed = seed_with(RULES, "weak")
    chance = random.Random(seed)
    practice = begin(RULES, chance)
    assert practice is not None
    steps = reviewed(practice.looked(THIN).did(SCRAPE, chance).did(RUB, chance).ended(None), seed)
    assert [step.against for step in steps] == [(THIN,), ()]


def test_no_look_is_named_for_a_cut_that_hit_or_for_what_can_be_undone() -> None:
    seed = seed_with(RULES, "heavy")
    for operation in (SCRAPE, NIP):
        chance = random.Random(seed)
        practice = begin(RULES, chance)
        assert practice is not None
        (step,) = reviewed(practice.looked(SAGS).did(operation, chance).ended(None), seed)
        assert step.saving is None


def test_the_score_is_the_engines_cost_as_a_share_of_the_students() -> None:
    seed = seed_with(RULES, "weak")
    chance = random.Random(seed)
    practice = begin(RULES, chance)
    assert practice is not None
    found = review(practice.did(SCRAPE, chance).ended(Ending.READY), random.Random(seed))
    # Four minutes, a stake of twelve, and response, worth 120, is still wrong.
    assert Stakes().never == 12.0
    assert found.student_cost == 4 + 12 + 120
    assert not found.student.is_sound
    assert found.engine.is_sound
    # Called ready, and it was not: half.
    assert found.is_mistaken
    assert found.score == round(50 * found.engine_cost / found.student_cost)
    given_up = review(practice.did(SCRAPE, random.Random(seed)).ended(Ending.SET_ASIDE), random.Random(seed))
    assert not given_up.is_mistaken
    assert isinstance(found.engine_moves[-1], End)


def test_who_does_as_the_engine_does_has_full_marks() -> None:
    seed = seed_with(RULES, "heavy")
    chance = random.Random(seed)
    practice = begin(RULES, chance)
    assert practice is not None
    found = review(practice.ended(None), random.Random(seed))
    for move in found.engine_moves[:-1]:
        practice = (
            practice.did(move.operation, chance)
            if isinstance(move, Operate)
            else practice.looked(move.finding)  # type: ignore[union-attr]
        )
    again = review(practice.ended(Ending.READY), random.Random(seed))
    assert again.score == 100
    assert again.student_cost == again.engine_cost
    assert all(step.advised == (Kind.DO, step.taken.move.operation) for step in again.steps)  # type: ignore[union-attr]
