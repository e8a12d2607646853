"""Where each working habit of the bench stands in the bassoon ruleset.

Facts a to q are common practice, no source, but for the thickness of the coin, which is the United
States Mint's (Coin Specifications: ten-cent coin, 1.35 mm). Facts c to o are worked cases of the
ruleset, named here by what their titles say; running them belongs to this test as well, so that a
fact cannot be lost by a change of chances.
"""

from functools import cache
from pathlib import Path

import pytest

from engine.trial import run_trial
from kb.ids import FindingId, PriorityId, QuantityId, RemedyId, SourceId
from kb.load import load_file
from kb.log.entry import Entry, EntryId, Graded, ReedId, ReedMade, What
from kb.log.replay import history
from kb.model import QuantityRead, Remedy, Ruleset, Trial, Undo

TEN_CENT_COIN = 1.35
"""Millimetres. United States Mint, Coin Specifications."""
MARK = "Common practice, no source: "
RULESET = Path(__file__).parents[2] / "rulesets" / "bassoon.yaml"

TRIALS_OF_FACTS = {
    "c": ("an opening that has grown a little too wide by the next sitting",),
    "d": ("a muffled crow with the opening right", "a crow still muffled after the second wire"),
    "e": (
        "a good crow holds low, middle and high sound together",
        "a crow that lacks its low sound",
        "a crow that lacks its middle sound",
        "a crow that lacks its high sound",
    ),
    "f": ("a crow that has all three sounds but jumps to one pitch", "such a crow is looked into"),
    "g": ("a narrow, peaked spine is broadened", "a peaked spine beside channels that are thin already"),
    "h": (
        "marked outer curves and a missing low sound",
        "once the spine is broad the outer curves are softer",
    ),
    "i": ("E3 may be unstable in the second sitting", "from the third sitting on an unstable E3"),
    "j": (
        "after a drying the wires are felt for slack, the second first",
        "after a drying the first wire is felt once the second is",
        "when a drying has slackened both wires",
    ),
    "k": ("narrow range with response and stability settled", "narrow range of a stuffy reed"),
    "l": (
        "E3 that sags with all else right on soft cane",
        "E3 that still sags after the inside is cleared",
        "a blade of 27 mm is not clipped any more",
    ),
    "m": ("a start that comes late right after inside sanding",),
    "n": ("meant for a crisp start", "meant for a gentle start"),
    "o": ("a slight rattle at the front of the crow goes with a solid start",),
}
FRAGMENTS = [(fact, fragment) for fact, fragments in TRIALS_OF_FACTS.items() for fragment in fragments]


@cache
def bassoon() -> Ruleset:
    loaded = load_file(RULESET)
    assert loaded.ruleset is not None, loaded.problems
    return loaded.ruleset


def operation(id_: str) -> Remedy:
    return bassoon().operation[RemedyId(id_)]


def the_trial(fragment: str) -> Trial:
    found = [trial for trial in bassoon().trials if fragment in trial.title]
    assert len(found) == 1, f"{len(found)} trials say “{fragment}”"
    return found[0]


@pytest.mark.parametrize("fact,fragment", FRAGMENTS)
def test_each_fact_is_a_trial_that_says_so_and_passes(fact: str, fragment: str) -> None:
    trial = the_trial(fragment)
    assert trial.title.startswith(MARK), fact
    result = run_trial(bassoon(), trial)
    assert result.passed, (fact, result.misses, result.advice.step)


def test_each_fact_demands_something() -> None:
    for _, fragment in FRAGMENTS:
        expect = the_trial(fragment).expect
        assert expect.step or expect.not_step or expect.priority or expect.cause


def test_a_the_reed_is_soaked_before_it_is_judged() -> None:
    first = bassoon().finding[bassoon().opening[0]]
    assert "soaked" in first.ask
    assert isinstance(first.read, QuantityRead)
    assert bassoon().quantity[first.read.quantity].unit == "min"
    assert bassoon().quantity[first.read.quantity].target == (3, 5)


def test_b_quarters_alike_and_the_opening_as_wide_as_the_coin_is_thick() -> None:
    asks = [bassoon().finding[id_].ask for id_ in bassoon().opening]
    assert any("quarter" in ask for ask in asks)
    assert sum("ten-cent coin" in ask for ask in asks) == 2
    opening = bassoon().quantity[QuantityId("tip-opening")]
    assert opening.target is not None
    low, high = opening.target
    assert low < TEN_CENT_COIN < high
    assert high - TEN_CENT_COIN < TEN_CENT_COIN - low
    coin = str(TEN_CENT_COIN)
    assert coin in bassoon().finding[FindingId("opening-wide")].help
    assert SourceId("mint") in bassoon().finding[FindingId("opening-wide")].sources


def test_c_closing_at_the_first_wire_disturbs_least() -> None:
    closing = [
        one
        for one in bassoon().remedies
        if any(effect.cause == "opening-grown" and effect.chance >= 0.5 for effect in one.cures)
    ]
    assert len(closing) > 1
    harm = {one.id: sum(effect.chance for effect in one.provokes) for one in closing}
    assert min(harm, key=lambda id_: harm[id_]) == "flatten-wire-1"


def test_d_and_j_the_second_wire_comes_before_the_first() -> None:
    assert "flatten-wire-2" in operation("flatten-wire-1").after
    assert "tighten-wire-2" in operation("tighten-wire-1").after
    assert "roundness" in operation("flatten-wire-2").do
    assert "roundness" in operation("flatten-wire-1").do
    overnight = [rest for rest in bassoon().rests if rest.new_sitting]
    assert overnight
    for rest in overnight:
        assert rest.recheck[:2] == ("wire-2-slack", "wire-1-slack"), rest.id


def test_g_the_spine_is_broadened_slantwise_and_channels_and_rails_stay() -> None:
    broaden = operation("broaden-spine")
    for word in ("45 degrees", "very back", "file"):
        assert word in broaden.do
    assert set(broaden.unless) == {"channels-thin", "rails-thin"}
    stuffy = {
        cause.id for cause in bassoon().causes for show in cause.shows if show.finding == "sound-stuffy"
    }
    assert {"channels-weak", "rails-weak"} <= stuffy


def test_h_a_narrow_spine_marks_the_curves_and_silences_the_low_partial() -> None:
    shown = {show.finding for cause in bassoon().causes if cause.id == "spine-narrow" for show in cause.shows}
    assert {"curves-marked", "crow-lacks-low", "spine-peaked"} <= shown


def test_i_e3_counts_from_the_third_sitting() -> None:
    assert bassoon().finding[FindingId("e3-sags")].counts_from_sitting == 3


def test_k_and_l_say_how_it_is_done() -> None:
    assert "ledge" in operation("blend-heart").do
    assert "220" in operation("sand-inside").do
    assert operation("sand-inside").caution
    clip = operation("clip-hair")
    assert "27 mm" in clip.do
    assert "sand-inside" in clip.after
    assert clip.undo is Undo.NEVER


def test_n_the_two_remedies_say_for_which_start_they_are_meant() -> None:
    assert "crisp" in operation("front-knife").title
    assert "gentle" in operation("front-paper").title


def test_p_three_sittings_of_fifteen_minutes_and_one_more_look_after_two_or_three_hours() -> None:
    minutes = bassoon().sitting.minutes
    assert minutes is not None
    assert 3 * minutes == 45
    play_in = operation("play-in")
    assert "two or three hours" in play_in.do
    assert "quarters-uneven" in play_in.recheck
    assert play_in.new_sitting
    assert operation("overnight").new_sitting
    guide = (Path(__file__).parents[2] / "docs" / "guides" / "a-sitting.md").read_text("utf-8")
    for words in ("45 minutes in all", "within about a week", "two or three hours", "common practice"):
        assert words in " ".join(guide.split())


def test_q_reeds_are_kept_by_grade_and_move_up() -> None:
    kept: list[What] = [
        ReedMade("An invented reed"),
        Graded("rehearsal"),
        Graded("concert", "three good rehearsals"),
    ]
    entries = [
        Entry(EntryId(str(number)), ReedId("r"), f"2026-05-0{number + 1}T10:00:00+00:00", None, what)
        for number, what in enumerate(kept)
    ]
    assert history(entries[:2]).grade == "rehearsal"
    assert history(entries).grade == "concert"


def test_response_comes_before_stability_before_flexibility() -> None:
    # Also published: C. Bellamy's log ranks response, intonation, flexibility, tone.
    order = [priority.id for priority in bassoon().priorities]
    assert order == [PriorityId("response"), PriorityId("stability"), PriorityId("flexibility")]
