"""The box of reeds and the whole way to a kept answer, with the real log, ruleset and engine."""

import asyncio
import io
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path
from typing import Any

import pytest

from engine.interview import AskCard
from kb.log.entry import Answered, SittingOpened
from kb.log.store import ReedLog
from kb.model import Answer
from tui.app.main import Workbench, open_app, reeds_screen
from tui.app.screens.reeds import ReedsScreen
from tui.app.screens.sitting import SittingScreen
from tui.box import histories, log_path
from tui.exit_code import ExitCode
from tui.wiring import Surroundings

IDS = count()
"""Of all runs: what two runs write into one log must not share an id."""


def surroundings(folder: Path, days: int = 0) -> Surroundings:
    """Give a machine of our own: its clock, its ids, its folders."""
    minutes = count()
    start = datetime(2031, 5, 4, 9, 30, tzinfo=UTC) + timedelta(days=days)
    return Surroundings(
        io.StringIO(),
        io.StringIO(),
        io.StringIO(),
        {"CANEBRAKE_HOME": str(folder)},
        clock=lambda: start + timedelta(minutes=next(minutes)),
        ids=lambda: f"{next(IDS):032x}",
    )


async def settled(app: Any, pilot: Any) -> None:
    await pilot.pause()
    dealing = [one for one in app.workers if one.group == "dealing" and not one.is_finished]
    if dealing and not app.screen.is_modal:
        await app.workers.wait_for_complete(dealing)
    await pilot.pause()


def nothing(_app: Any) -> None:
    """Look at nothing."""


async def played(
    folder: Path, keys: str, check: Callable[[Any], Any], *, days: int = 0, size: tuple[int, int] = (80, 24)
) -> Any:
    """Play keys on the box of reeds in `folder`, then look at the application."""
    around = surroundings(folder, days)
    with ReedLog.open(log_path(around.data_folder)) as log:
        app: Any = Workbench(lambda: reeds_screen(log, around, app.show))
        async with app.run_test(size=size) as pilot:
            await settled(app, pilot)
            for key in keys.split():
                await pilot.press(key)
                await settled(app, pilot)
            check(app)
    return app


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=["80x24", "120x40"])
def test_an_empty_box_says_what_to_do(size: tuple[int, int], tmp_path: Path, snapshot: Any) -> None:
    asyncio.run(played(tmp_path, "", lambda app: snapshot(app, f"box-empty-{size[0]}"), size=size))


def test_a_new_reed_is_named_asked_about_kept_and_found_again(tmp_path: Path, snapshot: Any) -> None:
    def asked(app: Any) -> None:
        assert isinstance(app.screen, SittingScreen)
        assert isinstance(app.screen.card, AskCard)
        assert app.screen.desk.name == "ü 1"

    asyncio.run(played(tmp_path, "n ü space 1 enter", asked))
    asyncio.run(played(tmp_path, "enter n y q", lambda app: snapshot(app, "box-one-reed-80")))
    with ReedLog.open(log_path(surroundings(tmp_path).data_folder)) as log:
        (reed,) = histories(log)
        whats = [entry.what for entry in log.entries_of(reed.id)]
    assert reed.name == "ü 1"
    assert [what.answer for what in whats if isinstance(what, Answered)] == [Answer.NO, Answer.YES]


def test_the_next_day_is_the_next_sitting(tmp_path: Path) -> None:
    asyncio.run(played(tmp_path, "n a enter n q", nothing))

    def second(app: Any) -> None:
        assert isinstance(app.screen, SittingScreen)
        assert app.screen.desk.interview.case.sitting == 2
        assert [entry.what for entry in app.screen.desk.entries][-1] == SittingOpened(2)

    asyncio.run(played(tmp_path, "enter", second, days=1))


def test_a_name_that_is_taken_or_empty_of_letters_is_refused(tmp_path: Path) -> None:
    asyncio.run(played(tmp_path, "n a enter q", nothing))

    def still_asking(app: Any) -> None:
        assert app.screen.is_modal
        assert "in the box already" in str(app.screen.query_one(".hint").content)

    asyncio.run(played(tmp_path, "n a enter", still_asking))


def test_leaving_a_reed_leads_back_to_the_box_and_leaving_the_box_ends(tmp_path: Path) -> None:
    def in_box(app: Any) -> None:
        assert isinstance(app.screen, ReedsScreen)

    asyncio.run(played(tmp_path, "n a enter q", in_box))
    app = asyncio.run(played(tmp_path, "q", nothing))
    assert app.return_value == 0


def test_a_log_that_cannot_be_opened_is_said_before_any_screen(tmp_path: Path) -> None:
    (tmp_path / "home").write_text("a file where a folder is wanted")
    around = surroundings(tmp_path / "home")
    assert open_app(around) is ExitCode.COULD_NOT_START
    assert isinstance(around.stderr, io.StringIO)
    assert around.stderr.getvalue().startswith("canebrake: ")
