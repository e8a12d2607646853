"""Where reeds stand by the calendar, and which to work on for a date."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from engine.planning import Prospect, candidates, plan, prospect
from engine.upkeep import Stage, rest_is_over, stage
from kb.ids import FindingId, PriorityId, RemedyId, RulesetId
from kb.load import load_bytes
from kb.log.entry import (
    Answered,
    Entry,
    EntryId,
    Graded,
    Played,
    ReedId,
    ReedMade,
    Rested,
    SittingOpened,
    What,
)
from kb.log.replay import ReedHistory, history
from kb.model import Answer, Finding, Priority, Ruleset, SittingLimit

WHISTLE = Path(__file__).parents[1] / "golden" / "penny-whistle-voicing.yaml"
NOW = datetime(2026, 11, 25, 18, 0, tzinfo=UTC)
WANTED = date(2026, 12, 4)


def entries(*whats: What, at: datetime = NOW, reed: str = "r") -> tuple[Entry, ...]:
    return tuple(
        Entry(EntryId(f"{reed}{n}"), ReedId(reed), at.isoformat(), None, what) for n, what in enumerate(whats)
    )


def reed(*whats: What, at: datetime = NOW, name: str = "r") -> ReedHistory:
    return history(entries(ReedMade(name), *whats, at=at, reed=name))


@pytest.mark.parametrize(
    "whats, days, expected",
    [
        ((), 0, Stage.NEW),
        ((SittingOpened(1),), 0, Stage.DUE),
        ((SittingOpened(1), Rested(None, new_sitting=True)), 0, Stage.RESTING),
        ((SittingOpened(1), Rested(None, new_sitting=True)), 1, Stage.DUE),
        ((SittingOpened(1), Rested(RemedyId("x"), new_sitting=True, hours=48)), 1, Stage.RESTING),
        ((SittingOpened(1), Rested(RemedyId("x"), new_sitting=False, hours=0.1)), 1, Stage.DUE),
        ((SittingOpened(1), Graded("concert")), 29, Stage.READY),
        ((SittingOpened(1), Graded("concert")), 30, Stage.AGEING),
        ((Graded("practice"), Played(19.5)), 0, Stage.READY),
        ((Graded("practice"), Played(10), Played(10)), 0, Stage.AGEING),
        ((Graded("concert"), Graded("set aside")), 90, Stage.ASIDE),
    ],
)
def test_a_reed_stands_where_its_story_and_the_clock_put_it(
    whats: tuple[What, ...], days: int, expected: Stage
) -> None:
    assert stage(reed(*whats), NOW + timedelta(days=days)) is expected


def test_a_rest_is_over_once_something_was_found_or_done() -> None:
    lain = (SittingOpened(1), Rested(None, new_sitting=True), SittingOpened(2))
    assert rest_is_over(reed(*lain)) == NOW + timedelta(hours=12)
    assert rest_is_over(reed(*lain, Answered(FindingId("f"), Answer.NO))) is None


def at_least(counts_from: int) -> Ruleset:
    priority = Priority(PriorityId("p"), "P", "")
    finding = Finding(FindingId("f"), "F", "F?", priority=priority.id, counts_from_sitting=counts_from)
    return Ruleset(
        RulesetId("r"), "R", "1", priorities=(priority,), findings=(finding,), sitting=SittingLimit(20.0)
    )


@pytest.mark.parametrize("counts_from, expected", [(1, 1), (3, 2), (5, 4)])
def test_a_reed_wants_sittings_until_everything_counts(counts_from: int, expected: int) -> None:
    yesterday = NOW - timedelta(days=1)
    told = entries(ReedMade("r"), SittingOpened(1), at=yesterday)
    seen = prospect(at_least(counts_from), told, history(told), NOW, WANTED)
    assert (seen.sittings, seen.possible, seen.fits) == (expected, 9, True)
    late = prospect(at_least(counts_from), told, history(told), NOW, date(2026, 11, 26))
    assert (late.possible, late.fits) == (1, expected == 1)


def test_a_rest_that_goes_on_is_waited_for_and_takes_days_away() -> None:
    told = entries(ReedMade("r"), SittingOpened(1), Rested(RemedyId("x"), new_sitting=True, hours=72))
    seen = prospect(at_least(1), told, history(told), NOW, date(2026, 11, 29))
    assert (seen.begins, seen.possible) == (date(2026, 11, 28), 1)
    assert prospect(at_least(1), told, history(told), NOW, date(2026, 11, 28)).possible == 0


def test_minutes_grow_with_what_was_found() -> None:
    ruleset = load_bytes("whistle.yaml", WHISTLE.read_bytes()).ruleset
    assert ruleset is not None
    clear = entries(ReedMade("r"), SittingOpened(1), Answered(FindingId("windway-high"), Answer.NO))
    found = entries(ReedMade("r"), SittingOpened(1), Answered(FindingId("windway-high"), Answer.YES))
    one, other = (prospect(ruleset, told, history(told), NOW, WANTED) for told in (clear, found))
    assert 0 < one.minutes < other.minutes


def ahead(name: str, sittings: int, minutes: float, possible: int = 9) -> Prospect:
    return Prospect(reed(SittingOpened(1), name=name), minutes, sittings, possible, NOW.date(), None)


def test_a_plan_takes_the_ready_first_and_then_what_is_done_soonest() -> None:
    concert = reed(SittingOpened(3), Graded("concert"), name="ready")
    tired = reed(Graded("concert"), Played(30), name="tired")
    prospects = (ahead("c", 2, 5), ahead("b", 1, 30), ahead("a", 1, 10), ahead("late", 9, 1, possible=3))
    made = plan((concert, tired), prospects, 3, NOW)
    assert [one.name for one in made.ready] == ["ready"]
    assert [one.name for one in made.ageing] == ["tired"]
    assert [one.reed.name for one in made.work] == ["a", "b"]
    assert [one.reed.name for one in made.spare] == ["c"]
    assert [one.reed.name for one in made.late] == ["late"]
    assert made.missing == 0
    assert plan((concert, tired), prospects, 6, NOW).missing == 2


def test_what_is_set_aside_or_ready_for_the_stage_is_not_worked_on() -> None:
    every = [reed(SittingOpened(1), Graded(word), name=word) for word in ("concert", "set aside", "spare")]
    assert [one.name for one in candidates((*every, reed(name="new")), NOW)] == ["spare", "new"]
    hopeless = replace(ahead("x", 1, 1), hopeless=True)
    assert not hopeless.fits
