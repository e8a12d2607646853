"""Forms: every entry of every ruleset survives its form, and only what is typed comes into the text."""

import asyncio
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from textual.screen import Screen
from textual.widgets import Input, Static

from kb.edit import Draft, at, same, scalar
from kb.schema.fields import Field, Form, fields
from tests.support.running import ROOT
from tests.tui.app.test_app_rules import settled
from tui.app.formfield import is_one_line, read_back, typed_of
from tui.app.main import Workbench
from tui.app.margin import judge
from tui.app.screens.form import FormSheet, LastWord
from tui.app.screens.rules import RulesScreen
from tui.manuscript import Manuscript, open_manuscript

FILES = (*sorted((ROOT / "tests/golden").glob("*.yaml")), *sorted((ROOT / "rulesets").glob("*.yaml")))
WHISTLE = (ROOT / "tests/golden/penny-whistle-voicing.yaml").read_text(encoding="utf-8")


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_value_is_read_back_from_the_line_that_it_is_typed_as(path: Path) -> None:
    page = open_manuscript(str(path))
    draft = Draft.of(page.name, page.content)
    assert isinstance(draft, Draft)
    seen = 0
    for passage in page.passages():
        entry = at(draft.tree, passage.path)
        assert entry is not None
        for field in fields(passage.section):
            value = entry.get(field.key)
            if value is None or not is_one_line(value):
                continue
            read = read_back(typed_of(value, field.form), field)
            assert not isinstance(read, str), (passage.id, field.key, read)
            assert same(read, value), (passage.id, field.key)
            seen += 1
    assert seen > 5


@pytest.mark.parametrize(
    "form, typed",
    [
        (Form.LIST, "one, [two"),
        (Form.LIST, "one\ntwo: 3"),
        (Form.PAIRS, "a: usually} , b: {"),
        (Form.WORD, "[1, 2]"),
        (Form.WHOLE, "{a: 1, a: 2}"),
        (Form.WORD, "&x 1"),
    ],
)
def test_what_cannot_be_read_is_said_and_not_written(form: Form, typed: str) -> None:
    assert isinstance(read_back(typed, Field("key", "Key", "", form)), str)


def test_any_text_is_a_text() -> None:
    field = Field("title", "Title", "", Form.TEXT)
    for typed in ("yes", "1.0", "[", "a: b # c", "'", "– no –"):
        read = read_back(typed, field)
        assert not isinstance(read, str)
        assert same(read, scalar(typed))


def test_the_last_word_of_a_line_is_completed() -> None:
    words = LastWord(["windway-too-tall", "usually"])
    assert asyncio.run(words.get_suggestion("a: 1, windway-t")) == "a: 1, windway-too-tall"
    assert asyncio.run(words.get_suggestion("windway-too-tall: usu")) == "windway-too-tall: usually"
    assert asyncio.run(words.get_suggestion("windway-too-tall: ")) is None


@pytest.fixture
def mine(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "whistle.yaml"
    path.write_text(WHISTLE, encoding="utf-8")
    return path


def played(
    said: str, keys: str, check: Callable[[Any, Any], Any], *, size: tuple[int, int] = (80, 24)
) -> None:
    async def story() -> None:
        app: Any = Workbench(Screen)
        async with app.run_test(size=size) as pilot:
            await app.push_screen(RulesScreen(open_manuscript(said)))
            await settled(app, pilot)
            for key in keys.split():
                if key.startswith("="):
                    app.screen.focused.value = key[1:].replace("_", " ")
                else:
                    await pilot.press(key)
                await settled(app, pilot)
            check(app, next(one for one in reversed(app.screen_stack) if isinstance(one, RulesScreen)))

    asyncio.run(story())


TO_SHIM = "f2 s h i m enter"


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (40, 24)], ids=lambda size: str(size[0]))
def test_a_form_shows_the_entry_at_the_cursor(size: tuple[int, int], mine: Path, snapshot: Any) -> None:
    def look(app: Any, _screen: RulesScreen) -> None:
        assert isinstance(app.screen, FormSheet)
        assert app.screen.query_one("#key-undo", Input).value == "fully"
        snapshot(app, f"rules-form-{size[0]}")

    played(mine.name, f"{TO_SHIM} f4", look, size=size)


def test_what_a_form_changes_is_all_that_changes_and_can_be_undone(mine: Path) -> None:
    def look(_app: Any, screen: RulesScreen) -> None:
        assert screen.text_area.text == WHISTLE.replace(
            "cures: {windway-too-tall: usually}", "cures: {windway-too-tall: often}"
        )

    def undone(_app: Any, screen: RulesScreen) -> None:
        assert screen.text_area.text == WHISTLE
        assert not screen.is_unsaved

    change = f"{TO_SHIM} f4 down down =windway-too-tall:_often ctrl+s"
    played(mine.name, change, look)
    played(mine.name, f"{change} ctrl+z", undone)


def test_a_form_that_changes_nothing_or_is_left_leaves_the_text(mine: Path) -> None:
    def same_text(_app: Any, screen: RulesScreen) -> None:
        assert screen.text_area.text == WHISTLE

    played(mine.name, f"{TO_SHIM} f4 ctrl+s", same_text)
    played(mine.name, f"{TO_SHIM} f4 =Other escape", same_text)


def test_a_slip_in_a_form_is_said_and_the_form_stays(mine: Path) -> None:
    def look(app: Any, screen: RulesScreen) -> None:
        assert isinstance(app.screen, FormSheet)
        assert "Cures" in str(app.screen.query_one(".hint", Static).content)
        assert screen.text_area.text == WHISTLE

    played(mine.name, f"{TO_SHIM} f4 down down =windway-too-tall:_[ ctrl+s", look)


def test_a_new_entry_is_asked_for_by_kind_and_id(mine: Path) -> None:
    def look(_app: Any, screen: RulesScreen) -> None:
        text = screen.text_area.text
        added = [line for line in text.splitlines() if line not in WHISTLE.splitlines()]
        assert any("too-dry" in line for line in added)
        assert set(WHISTLE.splitlines()) <= set(text.splitlines())
        assert {one.check for one in screen.page.judged().problems} == {
            "cause-without-remedy",
            "missing-source",
        }

    # The kinds are numbered as the file's sections come: the fourth is a cause.
    played(mine.name, "f9 4 =too-dry enter =Too_dry down =rare down =low-notes-break:_often ctrl+s", look)


def test_upon_an_installed_ruleset_one_of_ones_own_is_begun(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "taken.yaml").write_text("", encoding="utf-8")

    def look(_app: Any, screen: RulesScreen) -> None:
        assert screen.page.path == Path("my-studio.yaml")
        assert screen.page.judged().problems == ()
        ruleset = screen.page.judged().ruleset
        assert ruleset is not None
        assert ruleset.id == "my-studio"
        assert len(ruleset.causes) > 10

    def refused(app: Any, _screen: RulesScreen) -> None:
        assert "is there already" in str(app.screen.query_one(".hint", Static).content)

    played("bassoon", "f10 =my-studio.yaml enter", look)
    played("bassoon", "f10 =taken.yaml enter", refused)
    assert isinstance(open_manuscript("my-studio.yaml"), Manuscript)


def test_ids_of_what_a_ruleset_stands_on_are_offered_too(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "whistle.yaml").write_text(WHISTLE, encoding="utf-8")
    layer = "canebrake: 1\nid: mine\ntitle: Mine\nversion: 1.0.0\nextends: {file: whistle.yaml}\n"
    (tmp_path / "mine.yaml").write_text(layer, encoding="utf-8")
    offered = judge(open_manuscript("mine.yaml")).ids()
    assert {"damp-block", "shim-windway", "low-notes-break", "windway", "knife", "own"} <= set(offered)
    assert len(offered) == len(set(offered))
