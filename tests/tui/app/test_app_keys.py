"""Keys: declared once, told apart, explained, and all of them on the help screen."""

import asyncio
from typing import Any

import pytest
from textual.binding import Binding

from engine.interview import DoCard
from kb.ids import RemedyId
from kb.model import Ruleset
from kb.units import Length
from tui.app import keys
from tui.app.main import Workbench
from tui.app.screens.board import ALWAYS_SAYS, ONLY_ON
from tui.app.screens.sitting import SittingScreen

ALL = tuple(one for one in vars(keys).values() if isinstance(one, Binding))


def test_every_key_has_a_name_of_its_own_and_says_what_it_does() -> None:
    assert len({one.id for one in ALL}) == len(ALL)
    assert [one.id for one in ALL if not (one.id and one.description and one.tooltip)] == []


def test_a_key_of_a_sitting_means_one_thing_on_any_card() -> None:
    taken: dict[str, Binding] = {}
    for binding in (*keys.SITTING, *keys.ANYWHERE):
        for key in binding.key.split(","):
            other = taken.setdefault(key, binding)
            if other is not binding:
                # `d` is done with what the card holds: a step, the day, a list. No card holds two of them.
                assert {other, binding} <= {keys.DONE, keys.LATER, keys.PICKED}
                assert set(ONLY_ON[other.action]).isdisjoint(ONLY_ON[binding.action])


def test_every_key_of_a_sitting_has_its_action() -> None:
    for binding in keys.SITTING:
        verb = binding.action.partition("(")[0]
        assert hasattr(SittingScreen, f"action_{verb}"), verb
    for verb in (*ONLY_ON, *ALWAYS_SAYS):
        assert hasattr(SittingScreen, f"action_{verb}"), verb


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=["80x24", "120x40"])
def test_the_help_screen_shows_every_key(
    size: tuple[int, int], ruleset: Ruleset, stage: Any, snapshot: Any
) -> None:
    async def story() -> str:
        card = DoCard(ruleset.operation[RemedyId("flatten-second")], ())
        app = Workbench(lambda: SittingScreen(stage(card), Length.MM, lambda _: None))
        async with app.run_test(size=size) as pilot:
            await app.workers.wait_for_complete()
            await pilot.press("question_mark")
            await pilot.pause()
            snapshot(app, f"sheet-help-{size[0]}")
            page: Any = app.screen.query_one("VerticalScroll Static")
            return str(page.content)

    shown = asyncio.run(story())
    for binding in (*keys.SITTING, *keys.ANYWHERE):
        assert binding.tooltip in shown
        assert f" {keys.shown(binding)}  " in shown
