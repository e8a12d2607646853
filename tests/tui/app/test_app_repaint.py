"""What did not change is not drawn again from one question to the next: a key costs what it shows."""

import asyncio
from typing import Any

import pytest

from engine.interview import AskCard
from kb.ids import FindingId
from kb.model import Ruleset
from kb.units import Length
from tui.app.main import Workbench
from tui.app.screens.sitting import SittingScreen
from tui.draw.blade import draw_reed


@pytest.mark.parametrize(
    "next_, drawn", [("low-late", 0), ("spine-narrow", 1)], ids=["same zone", "another zone"]
)
def test_the_reed_is_drawn_again_only_for_another_zone(
    next_: str, drawn: int, ruleset: Ruleset, stage: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    first, then = (
        AskCard(ruleset.finding[FindingId(one)], None, True, ()) for one in ("crow-muffled", next_)
    )
    draws: list[object] = []

    def counted(*said: Any) -> Any:
        draws.append(said)
        return draw_reed(*said)

    monkeypatch.setattr("tui.app.widgets.reed.draw_reed", counted)

    async def story() -> int:
        app: Any = Workbench(lambda: SittingScreen(stage(first, then), Length.MM, lambda _: None))
        async with app.run_test(size=(80, 24)) as pilot:
            await app.workers.wait_for_complete()
            await pilot.pause()
            before = len(draws)
            await pilot.press("n")
            await app.workers.wait_for_complete()
            await pilot.pause()
            assert app.screen.card == then
            return len(draws) - before

    assert asyncio.run(story()) == drawn
    assert draws
