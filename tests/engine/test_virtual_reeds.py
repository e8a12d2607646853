"""Virtual reeds: drawn from the model and living by it. Held against the exact belief, by counting."""

import random
from math import sqrt
from pathlib import Path

import pytest

from engine.belief import believe
from engine.case import Case
from engine.network import network_of
from engine.virtual import VirtualReed, drawn_with_a_symptom, troubles
from kb.ids import CauseId, FindingId, RemedyId
from kb.load import load_file
from kb.model import Answer, Ruleset
from tests.support.small import cause, effects, remedy, ruleset, sign, symptom

WHISTLE_FILE = Path(__file__).parents[1] / "golden" / "penny-whistle-voicing.yaml"
LOW, HIGH = FindingId("low-notes-break"), FindingId("windway-high")
TALL, DAMP = CauseId("windway-too-tall"), CauseId("damp-block")
SHIM, OVERNIGHT = RemedyId("shim-windway"), RemedyId("overnight")
DRAWN = 6000


@pytest.fixture(scope="module")
def whistle() -> Ruleset:
    loaded = load_file(WHISTLE_FILE).ruleset
    assert loaded is not None
    return loaded


def agrees(count: int, of: int, chance: float) -> bool:
    """Whether a count is what a chance leads one to expect, within four standard errors."""
    return abs(count / of - chance) <= 4 * sqrt(chance * (1 - chance) / of) + 1e-12


def test_reeds_come_with_causes_as_often_as_the_ruleset_says(whistle: Ruleset) -> None:
    source, network = random.Random("priors"), network_of(whistle)
    reeds = [VirtualReed.drawn(network, source) for _ in range(DRAWN)]
    for one in whistle.causes:
        count = sum(one.id in reed.hidden for reed in reeds)
        assert agrees(count, DRAWN, one.how_common), one.id


def test_of_reeds_that_answer_alike_as_many_have_the_cause_as_the_belief_says(whistle: Ruleset) -> None:
    source, network = random.Random("posterior"), network_of(whistle)
    found = [
        TALL in reed.hidden
        for _ in range(3 * DRAWN)
        if (reed := VirtualReed.drawn(network, source)).shows(LOW) and not reed.shows(HIGH)
    ]
    belief = believe(whistle, Case().with_answer(LOW, Answer.YES).with_answer(HIGH, Answer.NO))
    assert len(found) > 200
    assert agrees(sum(found), len(found), belief.chance(TALL))


def test_after_a_remedy_and_a_night_the_belief_is_right_again(whistle: Ruleset) -> None:
    """Three rounds: a link that was on stays on, causes go and come, backgrounds go and come."""
    source, network = random.Random("rounds"), network_of(whistle)
    still, damp = [], []
    for _ in range(3 * DRAWN):
        first = VirtualReed.drawn(network, source)
        if not first.shows(LOW):
            continue
        second = first.after(SHIM, source, new_sitting=False)
        third = second.after(OVERNIGHT, source, new_sitting=True)
        if third.shows(LOW):
            still.append(TALL in third.hidden)
            damp.append(DAMP in third.hidden)
    case = Case().with_answer(LOW, Answer.YES).with_gap(SHIM, new_sitting=False)
    case = case.with_gap(OVERNIGHT, new_sitting=True).with_answer(LOW, Answer.YES)
    belief = believe(whistle, case)
    assert len(still) > 200
    assert agrees(sum(still), len(still), belief.chance(TALL))
    assert agrees(sum(damp), len(damp), belief.chance(DAMP))


def test_the_same_source_gives_the_same_reed_and_the_same_luck(whistle: Ruleset) -> None:
    lives = []
    for _ in range(2):
        source = random.Random(7)
        reed = drawn_with_a_symptom(whistle, source)
        assert reed is not None
        lives.append((reed, reed.after(SHIM, source, new_sitting=False)))
    assert lives[0] == lives[1]


def test_two_ways_of_working_meet_the_same_luck_in_later_gaps(whistle: Ruleset) -> None:
    def background_after(first: RemedyId | None) -> frozenset[int]:
        source = random.Random(3)
        reed = VirtualReed.drawn(network_of(whistle), source)
        reed = reed.after(first, source, new_sitting=first is None)
        return reed.after(SHIM, source, new_sitting=False).backgrounds

    assert background_after(SHIM) == background_after(None)


def test_every_drawn_reed_has_a_symptom_that_counts_at_its_first_sitting(whistle: Ruleset) -> None:
    counting = [one.id for one in whistle.symptoms if one.counts_from_sitting == 1]
    for seed in range(200):
        reed = drawn_with_a_symptom(whistle, random.Random(seed))
        assert reed is not None
        assert any(reed.shows(finding) for finding in counting)


def test_a_ruleset_whose_reeds_are_all_well_gives_none() -> None:
    # The only cause shows a sign that belongs to no priority, so no reed ever has a symptom.
    well = ruleset((symptom("sags", leak=0.0), sign("other")), (cause("thin", 0.3, other=0.9),))
    assert drawn_with_a_symptom(well, random.Random(1)) is None


def test_what_does_not_count_yet_is_no_trouble() -> None:
    late = ruleset(
        (symptom("sags", leak=0.0, from_sitting=3),),
        (cause("thin", 0.5, sags=1.0),),
        (remedy("nip", effects(thin=0.5)),),
    )
    reed = VirtualReed(network_of(late), frozenset({0}), frozenset({(0, 0)}), frozenset())
    assert [one.id for one in troubles(late, reed, 3)] == ["sags"]
    assert troubles(late, reed, 2) == ()
