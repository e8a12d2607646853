"""The map screen as short stories of keys: where the walk is, and what the screen shows of it."""

import asyncio
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from textual.screen import Screen

from engine.case import Case
from engine.step import Kind, Step
from kb.ids import CauseId, FindingId, RemedyId, RulesetId
from kb.model import Answer, Effect, Ruleset
from kb.units import Length
from tests.tui.app.conftest import ADVICE, cells_of
from tui.app.main import Workbench
from tui.app.marks import Marks, marks_of
from tui.app.screens.map import MapScreen
from tui.app.screens.sheet import PageSheet
from tui.app.widgets.mapcolumns import MapColumns
from tui.draw.known import known_of


def played(
    ruleset: Ruleset,
    keys: str,
    check: Callable[[Any, Any], Any],
    *,
    marks: Marks | None = None,
    size: tuple[int, int] = (80, 24),
    at: str = "",
) -> None:
    """Play keys on the map, then look at the application and the map's screen."""

    async def story() -> None:
        screen = MapScreen(ruleset, marks or Marks(), Length.MM, at)
        app: Any = Workbench(Screen)
        async with app.run_test(size=size) as pilot:
            await app.push_screen(screen)
            await pilot.pause()
            for key in keys.split():
                await pilot.press(key)
                await pilot.pause()
            check(app, screen)

    asyncio.run(story())


@pytest.fixture
def marks(ruleset: Ruleset) -> Marks:
    """Give a reed in its second round, the throat likely."""
    case = Case().with_answer(FindingId("crow-muffled"), Answer.YES)
    case = case.with_gap(RemedyId("flatten-second"), new_sitting=False)
    case = case.with_answer(FindingId("low-late"), Answer.SLIGHTLY)
    known = known_of("Willow 3", ruleset, case, ADVICE.belief)
    return marks_of(known, ruleset, case, ADVICE.step)


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (40, 24)], ids=lambda size: str(size[0]))
def test_a_map_without_a_reed_shows_what_the_ruleset_says(
    size: tuple[int, int], ruleset: Ruleset, snapshot: Any
) -> None:
    def look(app: Any, screen: MapScreen) -> None:
        assert screen.walk.at == "throat-tight"
        snapshot(app, f"map-{size[0]}")

    played(ruleset, "right", look, size=size)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=lambda size: str(size[0]))
def test_what_is_known_of_a_reed_is_said_by_sign_and_word(
    size: tuple[int, int], ruleset: Ruleset, marks: Marks, snapshot: Any
) -> None:
    def look(app: Any, screen: MapScreen) -> None:
        assert screen.walk.at == "low-late"
        snapshot(app, f"map-known-{size[0]}")

    played(ruleset, "", look, marks=marks, size=size, at="low-late")


def test_marks_say_answers_chances_and_the_step(marks: Marks) -> None:
    said = {id_: (mark.sign, mark.word, mark.loud) for id_, mark in marks.by_id.items()}
    unasked = ("e-sags", "opening-wide", "spine-narrow")
    assert [said.pop(id_) for id_ in unasked] == [("◌", "not asked", False)] * 3
    assert said == {
        "crow-muffled": ("●", "yes", True),
        "low-late": ("◐", "slightly", True),
        "throat-tight": ("◆", "more likely than not, 71 %", True),
        "back-thick": ("◈", "less likely, 18 %", False),
        "bocal-leaks": ("◇", "unlikely, 2 %", False),
        "flatten-second": ("▶", "next, done before", True),
    }
    assert ADVICE.step == Step(Kind.DO, "flatten-second")


def test_enter_leaves_what_belongs_to_the_entry_and_escape_leads_back(ruleset: Ruleset) -> None:
    def near(_app: Any, screen: MapScreen) -> None:
        assert screen.walk.focus == "throat-tight"

    def whole(_app: Any, screen: MapScreen) -> None:
        assert (screen.walk.focus, screen.walk.at) == ("", "throat-tight")

    played(ruleset, "right enter", near)
    played(ruleset, "right enter escape", whole)


def test_an_entry_is_found_by_typing(ruleset: Ruleset) -> None:
    def there(_app: Any, screen: MapScreen) -> None:
        assert screen.walk.at == "thin-back"

    played(ruleset, "slash t h i n enter", there)


@pytest.mark.parametrize("key, said", [("d", "── ■"), ("o", "comes from")], ids=["drawn", "in words"])
def test_the_part_round_an_entry_is_drawn_or_said_in_words(key: str, said: str, ruleset: Ruleset) -> None:
    def look(app: Any, _screen: MapScreen) -> None:
        assert isinstance(app.screen, PageSheet)
        assert said in cells_of(app)

    played(ruleset, f"right {key}", look)


@pytest.mark.parametrize("known", [False, True], ids=["of the rules", "of a reed"])
def test_the_legend_names_every_sign_and_stroke_of_a_map(
    known: bool,  # noqa: FBT001 - a parameter of the test
    ruleset: Ruleset,
    marks: Marks,
) -> None:
    def look(app: Any, _screen: MapScreen) -> None:
        legend = str(app.screen.query_one("#legend").content)
        signs = [mark.sign for mark in marks.by_id.values()] if known else list("●○◆■□")
        assert all(sign in legend for sign in [*signs, *"━─┄═·"])

    played(ruleset, "", look, marks=marks if known else None)


def test_what_may_provoke_stands_apart_and_a_slight_chance_of_it_nowhere(ruleset: Ruleset) -> None:
    throat = CauseId("throat-tight")
    thin, night = ruleset.operation[RemedyId("thin-back")], ruleset.operation[RemedyId("overnight")]
    harmful = replace(
        ruleset,
        operations=(
            *(one for one in ruleset.operations if one.id not in {thin.id, night.id}),
            replace(thin, provokes=(Effect(throat, 0.3),)),
            replace(night, provokes=(Effect(throat, 0.002),)),
        ),
    )

    def look(app: Any, screen: MapScreen) -> None:
        shown = cells_of(app)
        assert [row.entry.id for row in screen.walk.rows(2)] == ["flatten-second", "thin-back"]
        assert "What helps (1)" in shown
        assert shown.index("Flatten") < shown.index("May bring it on") < shown.index("Thin the")
        assert "0.002" not in shown

    played(harmful, "", look, at=throat)


def test_a_click_marks_what_it_points_at(ruleset: Ruleset) -> None:
    async def story() -> None:
        screen = MapScreen(ruleset, Marks(), Length.MM)
        app: Any = Workbench(Screen)
        async with app.run_test(size=(80, 24)) as pilot:
            await app.push_screen(screen)
            await pilot.pause()
            # The second column: its first row stands under the head.
            await pilot.click(MapColumns, offset=(30, 1))
            await pilot.pause()
            assert screen.walk.at == "throat-tight"

    asyncio.run(story())


def test_a_ruleset_without_entries_says_so(snapshot: Any) -> None:
    def look(app: Any, screen: MapScreen) -> None:
        assert screen.walk.at == ""
        snapshot(app, "map-empty-80")

    played(Ruleset(RulesetId("empty"), "Nothing yet", "1.0.0"), "down right enter d escape o escape", look)
