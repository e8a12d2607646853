"""What is proposed: the fewest answers that tell two confusable causes apart, and no opinion on them."""

from dataclasses import replace
from math import log

import pytest

from engine.belief import believe
from engine.case import case_of_rounds
from engine.proposing import TELLING, is_told_apart, proposals
from kb.ids import CauseId, RemedyId
from kb.load import load_bytes
from kb.model import Answer, Expect, GivenRound, Ruleset, Trial

LAMP = """
canebrake: 1
id: lamp
title: A lamp
version: 1.0.0
priorities: [{id: light, title: Light}]
symptoms:
  no-light: {priority: light, ask: Does it stay dark?, by: look}
signs:
  bulb-black: {ask: Is the bulb black?, by: look}
  glass-warm: {ask: Is the glass warm?, by: feel}
causes:
  bulb-blown:
    title: Blown
    how_common: common
    shows: {no-light: always, bulb-black: often, glass-warm: often}
  unplugged: {title: Unplugged, how_common: common, shows: {no-light: always, glass-warm: sometimes}}
remedies:
  change-bulb: {title: Change it, do: Change it., undo: fully, cures: {bulb-blown: always}}
  plug-in: {title: Plug it in, do: Plug it in., undo: fully, cures: {unplugged: always}}
"""


@pytest.fixture
def lamp() -> Ruleset:
    ruleset = load_bytes("lamp.yaml", LAMP.encode()).ruleset
    assert ruleset is not None
    return ruleset


def test_the_fewest_answers_that_tell_two_causes_apart_are_proposed(lamp: Ruleset) -> None:
    (proposal,) = proposals(lamp)
    assert (proposal.one.id, proposal.other.id) == ("bulb-blown", "unplugged")
    assert proposal.given == (("no-light", Answer.YES), ("bulb-black", Answer.YES))


def test_what_is_proposed_shifts_the_odds_between_the_two_as_much_as_it_claims(lamp: Ruleset) -> None:
    # With one fault at a time nearly exact: the causes are made rare, so that both at once hardly count.
    rare = replace(lamp, causes=tuple(replace(cause, how_common=1e-4) for cause in lamp.causes))
    (proposal,) = proposals(rare)

    def odds(given: tuple[tuple[object, Answer], ...]) -> float:
        belief = believe(rare, case_of_rounds(rare, [GivenRound(given=given)]))  # type: ignore[arg-type] # ids
        return log(belief.chance(proposal.one.id) / belief.chance(proposal.other.id))

    assert abs(odds(proposal.given) - odds(proposal.given[:1])) >= log(TELLING)


def test_a_trial_that_expects_one_where_the_other_could_be_tells_them_apart(lamp: Ruleset) -> None:
    one, other = lamp.causes
    trial = Trial("T", (GivenRound(given=next(proposals(lamp)).given),), Expect(cause=CauseId("bulb-blown")))
    assert is_told_apart(replace(lamp, trials=(trial,)), one, other)
    assert list(proposals(replace(lamp, trials=(trial,)))) == []


def test_a_trial_that_expects_nothing_tells_nothing_apart_but_is_not_proposed_again(lamp: Ruleset) -> None:
    one, other = lamp.causes
    open_trial = Trial("T", (GivenRound(given=next(proposals(lamp)).given),), Expect())
    ruleset = replace(lamp, trials=(open_trial,))
    assert not is_told_apart(ruleset, one, other)
    assert list(proposals(ruleset)) == []


def test_two_causes_that_one_remedy_serves_need_no_trial(lamp: Ruleset) -> None:
    one, other = lamp.operations
    both = replace(one, cures=(*one.cures, *other.cures))
    assert list(proposals(replace(lamp, operations=(both,)))) == []


def test_two_causes_that_nothing_tells_apart_are_left_to_the_check_for_that(lamp: Ruleset) -> None:
    one, other = lamp.causes
    twin = replace(other, shows=one.shows)
    assert list(proposals(replace(lamp, causes=(one, twin)))) == []


def test_the_dearest_confusion_comes_first(lamp: Ruleset) -> None:
    one, other = lamp.causes
    rarer = replace(other, id=CauseId("fuse-blown"), how_common=0.01)
    cures = lamp.operations[0]
    fuse = replace(cures, id=RemedyId("change-fuse"), cures=(replace(cures.cures[0], cause=rarer.id),))
    ruleset = replace(lamp, causes=(one, other, rarer), operations=(*lamp.operations, fuse))
    stakes = [proposal.stakes for proposal in proposals(ruleset)]
    assert stakes == sorted(stakes, reverse=True)
    assert next(proposals(ruleset)).other.id == "unplugged"
