"""The text of a ruleset as short stories of keys: what is judged, what is written, what is asked."""

import asyncio
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from textual.screen import Screen

from tests.support.running import ROOT
from tests.tui.app.conftest import cells_of
from tui.app.main import Workbench
from tui.app.screens.beside import BesideScreen
from tui.app.screens.rules import RulesScreen
from tui.app.screens.trials import TrialsSheet, sum_of
from tui.manuscript import open_manuscript
from tui.shelf import installed_ids

GOLDEN = ROOT / "tests/golden"
WHISTLE = (GOLDEN / "penny-whistle-voicing.yaml").read_text(encoding="utf-8")
LAST = "ctrl+end"


@pytest.fixture
def mine(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Give a ruleset of one's own, in the folder where one stands."""
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "whistle.yaml"
    path.write_text(WHISTLE, encoding="utf-8")
    return path


async def settled(app: Any, pilot: Any) -> None:
    """Wait until the text is judged, all trials have run, and what was asked for lies there."""
    await pilot.pause()
    for _ in range(2000):
        asking = any(one.group == "asking" and not one.is_finished for one in app.workers)
        if not asking or not isinstance(app.screen, RulesScreen):
            break
        await asyncio.sleep(0.01)
    for _ in range(2):
        running = [one for one in app.workers if one.group in {"judging", "trials"} and not one.is_finished]
        if running:
            await app.workers.wait_for_complete(running)
        await pilot.pause()


def played(
    said: str,
    keys: str,
    check: Callable[[Any, RulesScreen], Any],
    *,
    size: tuple[int, int] = (80, 24),
    before: Callable[[RulesScreen], Any] | None = None,
) -> Any:
    """Play keys on a text, then look at the application and at the screen."""

    async def story() -> Any:
        screen = RulesScreen(open_manuscript(said))
        app: Any = Workbench(Screen)
        async with app.run_test(size=size) as pilot:
            await app.push_screen(screen)
            await settled(app, pilot)
            if before is not None:
                before(screen)
            for key in keys.split():
                await pilot.press(key)
                await settled(app, pilot)
            check(app, screen)
        return app

    return asyncio.run(story())


async def judged(screen: RulesScreen) -> None:
    """Judge at once what would be judged after a pause."""
    screen._judge()
    await screen.app.workers.wait_for_complete()


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (40, 24)], ids=lambda size: str(size[0]))
def test_a_sound_text_stands_there_with_its_entries(size: tuple[int, int], mine: Path, snapshot: Any) -> None:
    def look(app: Any, screen: RulesScreen) -> None:
        assert screen.judged.problems == ()
        assert "causes" in {one.section for one in screen.judged.passages}
        snapshot(app, f"rules-{size[0]}")

    played(mine.name, "", look, size=size)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=lambda size: str(size[0]))
def test_problems_stand_at_their_places_and_beside_their_entries(
    size: tuple[int, int], mine: Path, snapshot: Any
) -> None:
    mine.write_text(WHISTLE.replace("shows: {high", "shows: {hihg"), encoding="utf-8")

    def look(app: Any, screen: RulesScreen) -> None:
        (problem, *_) = screen.judged.problems
        assert problem.check == "unknown-reference"
        line, column = screen.text_area.cursor_location
        assert (line + 1, column + 1) == (problem.span.line, problem.span.column)
        app.clear_notifications()
        snapshot(app, f"rules-trouble-{size[0]}")

    played(mine.name, "f3", look, size=size)


def test_the_text_is_judged_again_while_it_is_written(mine: Path) -> None:
    async def story() -> None:
        screen = RulesScreen(open_manuscript(mine.name))
        app: Any = Workbench(Screen)
        async with app.run_test(size=(80, 24)) as pilot:
            await app.push_screen(screen)
            await settled(app, pilot)
            assert screen.judged.problems == ()
            await pilot.press("x")
            await judged(screen)
            assert len(screen.judged.problems) > 0
            await pilot.press("ctrl+z")
            await judged(screen)
            assert screen.judged.problems == ()
            assert not screen.is_unsaved

    asyncio.run(story())


def test_saving_writes_the_file_and_leaving_asks_about_what_is_not_saved(mine: Path) -> None:
    def asked(app: Any, screen: RulesScreen) -> None:
        assert screen.is_unsaved
        assert app.screen.is_modal

    def gone(app: Any, screen: RulesScreen) -> None:
        assert screen not in app.screen_stack

    played(mine.name, "# escape", asked)
    assert mine.read_text(encoding="utf-8") == WHISTLE
    played(mine.name, "# escape 2", gone)
    assert mine.read_text(encoding="utf-8") == WHISTLE
    played(mine.name, "# ctrl+s escape", gone)
    assert mine.read_text(encoding="utf-8") == f"#{WHISTLE}"
    played(mine.name, "# escape 1", gone)
    assert mine.read_text(encoding="utf-8") == f"##{WHISTLE}"


def test_the_key_that_leaves_other_screens_asks_here_as_well(mine: Path) -> None:
    mine.write_text(WHISTLE.replace("shows: {high", "shows: {hihg"), encoding="utf-8")

    def asked(app: Any, screen: RulesScreen) -> None:
        assert screen.is_unsaved
        assert app.screen.is_modal

    # From the text to the problems below it, where a letter is no text.
    played(mine.name, "# tab q", asked)


def test_another_change_of_the_file_is_asked_about_before_it_is_written_over(mine: Path) -> None:
    def elsewhere(_screen: RulesScreen) -> None:
        mine.write_text("theirs", encoding="utf-8")

    def kept(_app: Any, screen: RulesScreen) -> None:
        assert screen.is_unsaved

    played(mine.name, "# ctrl+s 1", kept, before=elsewhere)
    assert mine.read_text(encoding="utf-8") == "theirs"
    mine.write_text(WHISTLE, encoding="utf-8")
    played(mine.name, "# ctrl+s 2", lambda _app, screen: not screen.is_unsaved, before=elsewhere)
    assert mine.read_text(encoding="utf-8") == f"#{WHISTLE}"


def test_leaving_at_once_is_asked_twice_while_something_is_unsaved(mine: Path) -> None:
    def still_there(app: Any, _screen: RulesScreen) -> None:
        assert app.return_code is None

    played(mine.name, "# ctrl+c", still_there)
    assert played(mine.name, "# ctrl+c ctrl+c", lambda *_: None).return_code == 130
    assert played(mine.name, "ctrl+c", lambda *_: None).return_code == 130


def test_an_installed_ruleset_is_shown_and_takes_no_letters() -> None:
    def look(_app: Any, screen: RulesScreen) -> None:
        assert screen.page == open_manuscript("bassoon")

    played("bassoon", "x ctrl+s", look)


def test_trials_run_at_a_key_and_failed_ones_stand_first(mine: Path, snapshot: Any) -> None:
    wrong = WHISTLE + "  - {title: It is damp, given: {low-notes-break: yes}, expect: {cause: damp-block}}\n"
    mine.write_text(wrong, encoding="utf-8")

    def look(app: Any, _screen: RulesScreen) -> None:
        assert isinstance(app.screen, TrialsSheet)
        assert [one.passed for one in app.screen.results] == [False, True]
        snapshot(app, "rules-trials-80")

    def there(_app: Any, screen: RulesScreen) -> None:
        assert screen.text_area.cursor_location[0] == wrong.count("\n") - 1

    played(mine.name, "f5", look)
    played(mine.name, "f5 enter", there)


def test_how_the_trials_stand_is_said_while_they_run() -> None:
    assert sum_of((), 0).startswith("This ruleset has no trials")
    assert sum_of((), 3) == "0 of 3 trials run: all passed"


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=lambda size: str(size[0]))
def test_two_rulesets_stand_side_by_side(size: tuple[int, int], mine: Path, snapshot: Any) -> None:
    other = WHISTLE.replace("Slide one paper shim under", "Glue one paper shim under").replace(
        "high-notes-hiss: usually}", "high-notes-hiss: often}"
    )
    (mine.parent / "b.yaml").write_text(other, encoding="utf-8")

    def look(app: Any, _screen: RulesScreen) -> None:
        assert isinstance(app.screen, BesideScreen)
        assert [one.id for one in app.screen.changes] == ["windway-too-low", "shim-windway"]
        snapshot(app, f"rules-beside-{size[0]}")

    # A file of one's own stands after all that are installed.
    a_file = len(installed_ids()) + 1
    played(mine.name, f"f8 {a_file} b full_stop y a m l enter down", look, size=size)


def test_trials_and_comparing_want_a_text_without_errors(mine: Path) -> None:
    mine.write_text("canebrake: 1\n", encoding="utf-8")

    def look(app: Any, screen: RulesScreen) -> None:
        assert app.screen is screen

    played(mine.name, "f5 f8", look)


@pytest.fixture
def layer(mine: Path) -> Path:
    """Give a ruleset that stands on that one."""
    path = mine.with_name("studio.yaml")
    path.write_text(
        "canebrake: 1\nid: studio\ntitle: A studio\nversion: 0.1.0\n"
        "extends: {file: whistle.yaml}\ncauses:\n  damp-block: {how_common: rare}\n",
        encoding="utf-8",
    )
    return path


def test_over_a_base_the_entries_of_the_base_are_listed_and_said_to_be_its(layer: Path) -> None:
    def look(app: Any, screen: RulesScreen) -> None:
        shown = [row.detail for row in app.screen._rows]
        assert any("from whistle.yaml" in one for one in shown)
        ids = [passage.id for passage in (*screen.judged.passages, *screen.judged.inherited)]
        assert len(ids) == len(set(ids)), "what the layer changes is listed once, as its own"
        assert {"damp-block", "windway-too-tall", "shim-windway"} <= set(ids)

    played("studio.yaml", "f2", look)
    assert layer.exists()


@pytest.mark.parametrize(
    "keys", ["f2 t o o minus t a l l enter", "f9 4 w i n d w a y minus t o o minus t a l l enter"]
)
def test_an_inherited_entry_is_changed_for_this_ruleset_alone(keys: str, layer: Path) -> None:
    def form(app: Any, _screen: RulesScreen) -> None:
        assert "inherited: change it for this ruleset" in cells_of(app)
        assert "The windway is too tall" in cells_of(app), "what the base says stands there, faint"

    def text(_app: Any, screen: RulesScreen) -> None:
        assert "windway-too-tall: {how_common: rare}" in " ".join(screen.page.text.split())
        assert not screen.judged.problems

    played("studio.yaml", keys, form)
    played("studio.yaml", f"{keys} down r a r e ctrl+s", text)
    assert "windway" not in layer.read_text(encoding="utf-8"), "not before it is saved"


def test_an_inherited_entry_that_is_left_as_it_is_is_not_written(layer: Path) -> None:
    def look(app: Any, screen: RulesScreen) -> None:
        assert "Nothing is changed" in cells_of(app)
        assert "windway-too-tall" not in screen.page.text

    played("studio.yaml", "f2 t o o minus t a l l enter ctrl+s", look)
    assert layer.exists()
