"""A time to wait for: as a value, and on the sitting screen with a clock of the test's own."""

import asyncio
from typing import Any

import pytest

from engine.interview import DoCard, RestCard
from kb.ids import RemedyId
from kb.model import Ruleset
from kb.settings import Settings
from kb.units import Length
from tui.app.countdown import Countdown, clock_face
from tui.app.main import Workbench
from tui.app.screens.sitting import SittingScreen
from tui.app.widgets.clock import Clock, face_of


def test_a_countdown_runs_stands_and_goes_on() -> None:
    wait = Countdown.of_minutes(2, now=100.0)
    assert wait.left(100.0) == 120
    assert wait.left(130.0) == 90
    stands = wait.turned(130.0)
    assert not stands.is_running
    assert stands.left(1000.0) == 90
    again = stands.turned(1000.0)
    assert again.left(1060.0) == 30
    assert not again.is_over(1089.0)
    assert again.is_over(1090.0)
    assert again.left(5000.0) == 0


def test_a_clock_that_is_set_back_never_lengthens_the_wait() -> None:
    assert Countdown.of_minutes(1, now=100.0).left(50.0) == 60


def test_a_clock_face_says_minutes_and_seconds() -> None:
    assert [clock_face(seconds) for seconds in (0, 0.2, 60, 61, 3600)] == [
        "0:00",
        "0:01",
        "1:00",
        "1:01",
        "1:00:00",
    ]


def test_what_is_left_stands_in_figures_and_words() -> None:
    wait = Countdown.of_minutes(2, now=0)
    assert "1:00 left" in face_of(wait, 60).plain
    assert "stands still" in face_of(wait.turned(60), 90).plain
    assert "The time is up" in face_of(wait, 120).plain


class Sitting:
    """A sitting screen whose seconds are the test's."""

    def __init__(self, desk: Any, *, ring: bool) -> None:
        self.now, self.rung = 0.0, 0
        settings = Settings(ring=ring)
        self.screen = SittingScreen(desk, Length.MM, lambda _: None, settings, lambda: self.now)
        app: Any = Workbench(lambda: self.screen)
        app.bell = self._ring
        self.app = app

    def _ring(self) -> None:
        self.rung += 1

    async def press(self, pilot: Any, key: str) -> None:
        await pilot.press(key)
        await pilot.pause()
        await pilot.pause()

    async def wait(self, pilot: Any, seconds: float) -> None:
        self.now += seconds
        self.screen.query_one(Clock).post_message(Clock.Beat())
        await pilot.pause()

    def shown(self) -> str:
        clock = self.screen.query_one(Clock)
        return str(clock.content) if clock.display else ""


@pytest.mark.parametrize("ring", [True, False])
def test_a_step_is_waited_for_paused_and_ended_through_a_resize(
    ring: bool,  # noqa: FBT001 - a parameter of the test
    ruleset: Ruleset,
    stage: Any,
    snapshot: Any,
) -> None:
    async def story() -> None:
        sitting = Sitting(stage(DoCard(ruleset.operation[RemedyId("thin-back")], ())), ring=ring)
        async with sitting.app.run_test(size=(80, 24)) as pilot:
            await sitting.app.workers.wait_for_complete()
            await sitting.press(pilot, "c")
            assert "4:00 left" in sitting.shown(), "the step takes four minutes"
            await sitting.wait(pilot, 60)
            assert "3:00 left" in sitting.shown()
            snapshot(sitting.app, "sitting-clock-80")
            await pilot.resize_terminal(120, 40)
            await sitting.press(pilot, "c")
            await sitting.wait(pilot, 600)
            assert "3:00 left" in sitting.shown(), "it stood still"
            await sitting.press(pilot, "c")
            await sitting.wait(pilot, 180)
            assert "The time is up" in sitting.shown()
            assert sitting.rung == (1 if ring else 0)
            await sitting.press(pilot, "c")
            assert sitting.shown() == ""
            interview: Any = sitting.screen.desk.interview
            assert interview.said == (), "waiting says nothing of the reed"

    asyncio.run(story())


def test_with_its_step_a_clock_is_put_away_and_one_of_the_makers_own_goes_on(
    ruleset: Ruleset, stage: Any
) -> None:
    steps = [DoCard(ruleset.operation[RemedyId(one)], ()) for one in ("thin-back", "flatten-second")]
    night = RestCard(ruleset.operation[RemedyId("overnight")], ())

    async def story(keys: str, *cards: Any) -> str:
        sitting = Sitting(stage(*cards), ring=False)
        async with sitting.app.run_test(size=(80, 24)) as pilot:
            await sitting.app.workers.wait_for_complete()
            for key in keys.split():
                await sitting.press(pilot, key)
            return sitting.shown()

    assert asyncio.run(story("c d", *steps)) == ""
    assert "9:00 left" in asyncio.run(story("c 9 enter o f l a t enter", night, steps[0]))


def test_where_no_step_says_how_long_the_maker_is_asked(ruleset: Ruleset, stage: Any) -> None:
    async def story() -> None:
        sitting = Sitting(stage(RestCard(ruleset.operation[RemedyId("overnight")], ())), ring=False)
        async with sitting.app.run_test(size=(80, 24)) as pilot:
            await sitting.app.workers.wait_for_complete()
            for key in ("c", "4", "enter"):
                await sitting.press(pilot, key)
            assert "4:00 left" in sitting.shown()

    asyncio.run(story())
