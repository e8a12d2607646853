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
from kb.ids import QuantityId, RemedyId, RulesetId
from kb.log.entry import (
    Answered,
    Entry,
    EntryId,
    Graded,
    Measured,
    Played,
    ReedId,
    ReedMade,
    Remarked,
    RemedyDone,
    Rested,
    RulesetMark,
    SittingOpened,
    What,
)
from kb.log.store import ReedLog
from kb.model import Answer
from tests.tui.app.conftest import cells_of
from tui.app.doors import Place, opened, reeds_screen
from tui.app.main import Workbench
from tui.app.screens.reeds import ReedsScreen
from tui.app.screens.sitting import SittingScreen
from tui.box import histories, log_path
from tui.shelf import installed_ids
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


def written(folder: Path) -> list[What]:
    """Give what the log of a box with one reed holds."""
    with ReedLog.open(log_path(surroundings(folder).data_folder)) as log:
        (reed,) = histories(log)
        return [entry.what for entry in log.entries_of(reed.id)]


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=["80x24", "120x40"])
def test_an_empty_box_says_what_to_do(size: tuple[int, int], tmp_path: Path, snapshot: Any) -> None:
    asyncio.run(played(tmp_path, "", lambda app: snapshot(app, f"box-empty-{size[0]}"), size=size))


def test_a_new_reed_is_named_asked_about_kept_and_found_again(tmp_path: Path, snapshot: Any) -> None:
    def asked(app: Any) -> None:
        assert isinstance(app.screen, SittingScreen)
        assert isinstance(app.screen.card, AskCard)
        assert app.screen.desk.name == "ü 1"

    asyncio.run(played(tmp_path, "n ü space 1 enter enter", asked))
    asyncio.run(played(tmp_path, "enter n y q", lambda app: snapshot(app, "box-one-reed-80")))
    with ReedLog.open(log_path(surroundings(tmp_path).data_folder)) as log:
        (reed,) = histories(log)
        whats = [entry.what for entry in log.entries_of(reed.id)]
    assert reed.name == "ü 1"
    assert [what.answer for what in whats if isinstance(what, Answered)] == [Answer.NO, Answer.YES]


def test_the_next_day_is_the_next_sitting(tmp_path: Path) -> None:
    asyncio.run(played(tmp_path, "n a enter enter n q", nothing))

    def second(app: Any) -> None:
        assert isinstance(app.screen, SittingScreen)
        assert app.screen.desk.interview.case.sitting == 2
        assert [entry.what for entry in app.screen.desk.entries][-1] == SittingOpened(2)

    asyncio.run(played(tmp_path, "enter", second, days=1))
    assert SittingOpened(2) not in written(tmp_path)  # it was only looked at
    asyncio.run(played(tmp_path, "enter n", nothing, days=1))
    assert written(tmp_path)[-2] == SittingOpened(2)


def test_a_name_that_is_taken_or_empty_of_letters_is_refused(tmp_path: Path) -> None:
    asyncio.run(played(tmp_path, "n a enter enter q", nothing))

    def still_asking(app: Any) -> None:
        assert app.screen.is_modal
        assert "in the box already" in str(app.screen.query_one(".hint").content)

    asyncio.run(played(tmp_path, "n a enter", still_asking))


def test_leaving_a_reed_leads_back_to_the_box_and_leaving_the_box_ends(tmp_path: Path) -> None:
    def in_box(app: Any) -> None:
        assert isinstance(app.screen, ReedsScreen)

    asyncio.run(played(tmp_path, "n a enter enter q", in_box))
    app = asyncio.run(played(tmp_path, "q", nothing))
    assert app.return_value == 0


def test_the_rules_of_the_reed_last_used_are_offered_first(tmp_path: Path) -> None:
    def offered(app: Any) -> None:
        assert isinstance(app.screen, SittingScreen)
        assert app.screen.desk.ruleset.id == "oboe"

    # The second of the list for the first reed, and Enter alone for the next.
    oboe = installed_ids().index("oboe") + 1
    asyncio.run(played(tmp_path, f"n a enter {oboe} q", nothing))
    asyncio.run(played(tmp_path, "n b enter enter", offered))


BOXFUL = (
    ("Alder 1", (Graded("concert", "sings"), Played(3.5))),
    (
        "Birch 2",
        (
            SittingOpened(1),
            Measured(QuantityId("tip-opening"), 1.62),
            RemedyDone(RemedyId("flatten-wire-1")),
            Measured(QuantityId("tip-opening"), 1.3),
            Remarked("F4 needs watching"),
            Rested(RemedyId("overnight"), new_sitting=True, hours=12.0),
        ),
    ),
    ("Cedar 3", ()),
    ("Dogwood 4", (SittingOpened(1), Graded("set aside", "split"))),
)
"""Invented reeds."""


@pytest.fixture
def boxful(tmp_path: Path) -> Path:
    """Give a folder whose log holds a few invented reeds."""
    around = surroundings(tmp_path)
    mark = RulesetMark(RulesetId("bassoon"), "1.0.0", "0" * 64)
    with ReedLog.open(log_path(around.data_folder)) as log:
        for name, whats in BOXFUL:
            reed = ReedId(around.new_id())
            for what in (ReedMade(name), *whats):
                at = around.now().isoformat(timespec="seconds")
                log.append(Entry(EntryId(around.new_id()), reed, at, mark, what))
    return tmp_path


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (40, 24)], ids=lambda size: str(size[0]))
def test_a_box_says_how_each_reed_stands(size: tuple[int, int], boxful: Path, snapshot: Any) -> None:
    def look(app: Any) -> None:
        assert [reed.name for reed in app.screen.reeds] == ["Dogwood 4", "Cedar 3", "Birch 2", "Alder 1"]
        snapshot(app, f"box-full-{size[0]}")

    asyncio.run(played(boxful, "", look, size=size))


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=lambda size: str(size[0]))
def test_a_reeds_story_shows_its_measurements_and_all_that_was_done(
    size: tuple[int, int], boxful: Path, snapshot: Any
) -> None:
    def look(app: Any) -> None:
        page = str(app.screen.query_one("VerticalScroll").children[0].render())
        assert "1.62 mm" in page
        assert page.index("1.62 mm") < page.index("1.3 mm")
        assert "F4 needs watching" in page
        snapshot(app, f"box-story-{size[0]}")

    asyncio.run(played(boxful, "down down h", look, size=size))


def test_only_what_holds_the_words_is_shown_and_escape_shows_all(boxful: Path) -> None:
    def some(app: Any) -> None:
        assert [reed.name for reed in app.screen.reeds] == ["Birch 2"]

    def every(app: Any) -> None:
        assert len(app.screen.reeds) == 4

    def none(app: Any) -> None:
        assert app.screen.reeds == ()

    asyncio.run(played(boxful, "slash r e s t s enter", some))
    asyncio.run(played(boxful, "slash r e s t s enter slash escape", every))
    asyncio.run(played(boxful, "slash z z z enter", none))


@pytest.mark.parametrize("width", [40, 64, 80, 120])
def test_help_and_the_way_out_are_named_at_any_width(width: int, boxful: Path) -> None:
    def named(app: Any) -> None:
        foot = cells_of(app).splitlines()[-3:]
        assert "? help" in " ".join(foot)
        assert foot[-1].endswith("q leave")

    asyncio.run(played(boxful, "", named, size=(width, 24)))


def test_what_was_never_told_of_hours_is_not_shown_as_none(boxful: Path) -> None:
    def silent(app: Any) -> None:
        row = next(line for line in cells_of(app).splitlines() if "Cedar 3" in line)
        assert " 0 h" not in row

    def story(app: Any) -> None:
        assert "played" not in cells_of(app)

    asyncio.run(played(boxful, "", silent))
    asyncio.run(played(boxful, "down h", story))


def test_a_story_is_laid_out_anew_for_a_window_that_was_made_narrow(boxful: Path) -> None:
    async def story() -> str:
        around = surroundings(boxful)
        with ReedLog.open(log_path(around.data_folder)) as log:
            app: Any = Workbench(lambda: reeds_screen(log, around, app.show))
            async with app.run_test(size=(120, 40)) as pilot:
                for key in ("slash", *"birch", "enter", "h"):
                    await pilot.press(key)
                    await settled(app, pilot)
                await pilot.resize_terminal(40, 30)
                await settled(app, pilot)
                return cells_of(app)

    readings = [
        line.strip(" │") for line in asyncio.run(story()).splitlines() if "mm" in line and "sitting" in line
    ]
    assert len(readings) == 2
    assert all(line.startswith("sitting") for line in readings), "no plot goes on in a second line"


@pytest.mark.parametrize(
    "keys, reed, what",
    [
        ("g 1 enter", "Dogwood 4", Graded("concert")),
        ("down a 1 d r y enter", "Cedar 3", Graded("set aside", "dry")),
        ("down a 2", "Cedar 3", Graded("set aside")),
        ("down e 1", "Cedar 3", Rested(RemedyId("overnight"), new_sitting=True)),
        ("down a 3", "Cedar 3", ReedMade("Cedar 3")),
        ("down g escape", "Cedar 3", ReedMade("Cedar 3")),
    ],
)
def test_a_reed_is_graded_rested_and_set_aside_in_the_box(
    keys: str, reed: str, what: Any, boxful: Path
) -> None:
    asyncio.run(played(boxful, keys, nothing))
    with ReedLog.open(log_path(surroundings(boxful).data_folder)) as log:
        (found,) = [one for one in histories(log) if one.name == reed]
        last = log.entries_of(found.id)[-1].what
    assert type(last) is type(what)
    if isinstance(last, Graded):
        assert last == what


def test_from_the_box_one_goes_to_map_rules_and_practice(boxful: Path) -> None:
    around = surroundings(boxful)

    async def story(key: str) -> str:
        with ReedLog.open(log_path(around.data_folder)) as log:
            app: Any = Workbench(
                lambda: reeds_screen(log, around, app.show),
                lambda place, said: opened(Place(place), said, around),
            )
            async with app.run_test(size=(80, 24)) as pilot:
                await settled(app, pilot)
                for one in (key, "1"):
                    await pilot.press(one)
                    await settled(app, pilot)
                return type(app.screen).__name__

    screens = {key: asyncio.run(story(key)) for key in "vrp"}
    assert screens == {"v": "MapScreen", "r": "RulesScreen", "p": "PracticeScreen"}
