"""Practice on the full screen: what the reed answers, what is done to it, and the review at the end."""

import asyncio
from collections.abc import Callable
from typing import Any

import pytest
from textual.screen import Screen

from engine.practice import begin
from engine.virtual import Source
from kb.ids import FindingId, RemedyId
from kb.model import Ending
from tests.support.running import ROOT
from tui.app.main import Workbench
from tui.app.screens.practice import PracticeScreen
from tui.shelf import usable_ruleset
from tui.wiring import chance_of

WHISTLE = usable_ruleset(str(ROOT / "tests/golden/penny-whistle-voicing.yaml"))
NUMBER = 3


def chance() -> Source:
    return chance_of(NUMBER, 0)


def played(keys: str, check: Callable[[Any, PracticeScreen], Any], size: tuple[int, int] = (80, 24)) -> None:
    async def story() -> None:
        source = chance()
        practice = begin(WHISTLE, source)
        assert practice is not None
        screen = PracticeScreen(practice, source, chance, NUMBER)
        app: Any = Workbench(Screen)
        async with app.run_test(size=size) as pilot:
            await app.push_screen(screen)
            await pilot.pause()
            for key in keys.split():
                await pilot.press(key)
                await pilot.pause()
                if not app.screen.is_modal:
                    await app.workers.wait_for_complete()
                    await pilot.pause()
            check(app, screen)

    asyncio.run(story())


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (40, 24)], ids=lambda size: str(size[0]))
def test_a_reed_is_handed_over_and_nothing_is_known_of_it(size: tuple[int, int], snapshot: Any) -> None:
    def look(app: Any, screen: PracticeScreen) -> None:
        assert screen.practice.taken == ()
        snapshot(app, f"practice-{size[0]}")

    played("", look, size)


def test_the_reed_answers_what_is_looked_at_and_keeps_to_it(snapshot: Any) -> None:
    def look(app: Any, screen: PracticeScreen) -> None:
        first, second = screen.practice.taken
        assert first.move.finding == second.move.finding == FindingId("low-notes-break")  # type: ignore[union-attr]
        assert first.answer == second.answer
        snapshot(app, "practice-found-80")

    played("5 enter 5 enter", look)


def test_a_remedy_is_shown_with_its_caution_before_it_is_done() -> None:
    def left(_app: Any, screen: PracticeScreen) -> None:
        assert screen.practice.taken == ()

    def done(_app: Any, screen: PracticeScreen) -> None:
        (taken,) = screen.practice.taken
        assert taken.move.operation == RemedyId("pare-windway")  # type: ignore[union-attr]

    def caution(app: Any, _screen: PracticeScreen) -> None:
        assert "Blade away from the fingers." in str(app.screen.query_one(".heading").content)

    played("6 down enter", caution)
    played("6 down enter 2", left)
    played("6 down enter 1", done)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=lambda size: str(size[0]))
def test_stopping_gives_the_review_of_the_engine(size: tuple[int, int], snapshot: Any) -> None:
    def look(app: Any, screen: PracticeScreen) -> None:
        assert screen.practice.ending is Ending.READY
        assert screen.review[0].startswith("What was hidden: ")
        assert screen.review[-1].startswith("Score: ")
        snapshot(app, f"practice-review-{size[0]}")

    played("5 enter 6 enter 1 8 1", look, size)


def test_no_choice_is_no_verdict_and_the_work_goes_on() -> None:
    def look(_app: Any, screen: PracticeScreen) -> None:
        assert screen.review == ()

    def no_verdict(_app: Any, screen: PracticeScreen) -> None:
        assert screen.practice.ending is None
        assert screen.review != ()

    played("8 escape", look)
    played("8 4", no_verdict)
