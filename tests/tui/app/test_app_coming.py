"""The frame that is painted first: before rules, engine and log are loaded; and how it gives way."""

import asyncio
import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from textual.app import App, ComposeResult
from textual.screen import Screen
from textual.widgets import Static

from tests.support.running import run_python
from tui.app.main import Workbench
from tui.app.screens.coming import Coming
from tui.cli.commands import run_commands
from tui.exit_code import ExitCode
from tui.wiring import Surroundings

AT_FIRST_PAINT = """
import sys
from dataclasses import replace
from textual.app import App
from tui.app.main import Workbench
from tui.app.screens.coming import Coming
from tui.cli.commands import run_commands
from tui.wiring import here

def report(frame):
    print(" ".join(sys.modules))
    frame.app.exit()

Coming._go_on = report
Workbench.run = lambda app, **_: App.run(app, headless=True)
run_commands(sys.argv[1:], replace(here(), is_terminal=True))
"""


@pytest.fixture
def headless(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Workbench, "run", lambda app, **_: App.run(app, headless=True))


def at_a_terminal(home: Path) -> Surroundings:
    environ = {"CANEBRAKE_HOME": str(home)}
    return Surroundings(io.StringIO(), io.StringIO(), io.StringIO(), environ, is_terminal=True)


def said(around: Surroundings) -> str:
    assert isinstance(around.stderr, io.StringIO)
    return around.stderr.getvalue()


class Next(Screen[None]):
    def compose(self) -> ComposeResult:
        yield Static("here it is")


def told(make: Callable[[Workbench], Screen[Any] | None], *keys: str) -> tuple[Workbench, list[str]]:
    """Open the frame, let `make` go on from it, and press keys; give the app and the screens then open."""

    async def story() -> tuple[Workbench, list[str]]:
        app = Workbench(lambda: Coming("A reed [b]", "Opening \x1b[2J …", lambda: make(app)))
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            for key in keys:
                await pilot.press(key)
            return app, [type(one).__name__ for one in app.screen_stack]

    return asyncio.run(story())


def test_the_frame_says_literally_what_comes_and_gives_way_to_it() -> None:
    shown: list[str] = []

    def make(app: Workbench) -> Screen[Any]:
        shown.extend(str(one.content) for one in app.screen.query(Static).results(Static))
        return Next()

    assert told(make)[1][-1] == "Next"
    assert shown == ["A reed [b]", "Opening \\x1b[2J …"]


def test_nobody_goes_back_to_the_frame() -> None:
    app, _ = told(lambda _: Next(), "q")
    assert app.return_value == 0


def test_where_nothing_comes_the_app_ends() -> None:
    app, _ = told(lambda _: None)
    assert app.return_value is None
    assert app.return_code == 0


@pytest.mark.parametrize("words", [["interview", "bassoon"], ["practice", "bassoon"], []])
def test_the_frame_is_painted_before_rules_engine_and_log_are_loaded(
    words: list[str], tmp_path: Path
) -> None:
    ran = run_python(["-c", AT_FIRST_PAINT, *words], tmp_path)
    loaded = set(ran.out.split())
    assert "tui.app.screens.coming" in loaded, ran.err
    assert not {"kb.model", "kb.shelf", "engine.case", "kb.log.entry", "yaml", "sqlite3", "numpy"} & loaded


@pytest.mark.usefixtures("headless")
@pytest.mark.parametrize(
    "words",
    [["interview", "none-such"], ["interview", "none-such", "--reed", "A"], ["practice", "none-such"]],
)
def test_rules_that_are_not_there_are_said_when_the_frame_is_gone(words: list[str], tmp_path: Path) -> None:
    around = at_a_terminal(tmp_path)
    assert run_commands(words, around) is ExitCode.COULD_NOT_START
    assert "no installed ruleset 'none-such'" in said(around)


@pytest.mark.usefixtures("headless")
@pytest.mark.parametrize("words", [["interview", "bassoon", "--reed", "A"], []])
def test_a_log_that_cannot_be_opened_is_said_when_the_frame_is_gone(words: list[str], tmp_path: Path) -> None:
    (tmp_path / "home").write_text("a file where a folder is wanted")
    around = at_a_terminal(tmp_path / "home")
    assert run_commands(words, around) is ExitCode.COULD_NOT_START
    assert said(around).startswith("canebrake: ")


@pytest.mark.usefixtures("headless")
def test_which_rules_are_meant_is_asked_before_any_screen(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Coming, "compose", lambda _: pytest.fail("a screen was opened"))
    around = at_a_terminal(tmp_path)
    assert run_commands(["interview"], around) is ExitCode.COULD_NOT_START
    assert "several rulesets are installed" in said(around)


@pytest.mark.usefixtures("headless")
def test_rules_by_which_nothing_goes_wrong_leave_nothing_to_practise_on(tmp_path: Path) -> None:
    file = tmp_path / "quiet.yaml"
    head = "canebrake: 1\nid: quiet\ntitle: Quiet\nversion: 1.0.0\n"
    file.write_text(f"{head}priorities: []\nsymptoms: {{}}\ncauses: {{}}\nremedies: {{}}\n")
    around = at_a_terminal(tmp_path)
    assert run_commands(["practice", str(file)], around) is ExitCode.NO
    assert "nothing to practise on" in said(around)
