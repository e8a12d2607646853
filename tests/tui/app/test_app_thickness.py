"""Thicknesses entered on the screen: what goes into the log, what is refused, and where it is seen again."""

import asyncio
from dataclasses import replace
from typing import Any

import pytest

from engine.blades import blades
from engine.interview import OverviewCard
from kb.ids import ProfileId
from kb.log.entry import Entry, EntryId, ReedId, Spot, ThicknessMeasured, What
from kb.log.replay import history
from kb.model import Profile, Ruleset, ThicknessPoint
from kb.units import Length
from tests.tui.app.conftest import MARK, MORNING, cells_of
from tests.tui.app.test_app_sitting import settled
from tui.app.main import Workbench
from tui.app.screens.sitting import SittingScreen
from tui.app.story import story_page


def measured(ruleset: Ruleset, datum: str = "tip") -> Ruleset:
    """Give the rules with one profile of three points."""
    points = (
        ThicknessPoint(10, "spine", 0.52, 0.03),
        ThicknessPoint(10, "rail", 0.36, 0.03),
        ThicknessPoint(20, "spine", 0.62, None),
    )
    profile = Profile(
        ProfileId("medium"), "A medium blade", "mm", datum, ("spine", "channel", "rail"), points
    )
    return replace(ruleset, thickness=(profile,))


class Sheet:
    """A sitting in which thickness is measured: keys and texts in, what was said and what stood there out."""

    def __init__(self, ruleset: Ruleset, stage: Any, length: Length = Length.MM) -> None:
        desk = replace(stage(OverviewCard(ruleset.priorities[0], ())), ruleset=ruleset)
        self.screen = SittingScreen(desk, length, lambda _: None)

    def play(self, *steps: str, size: tuple[int, int] = (80, 24), look: Any = None) -> "Sheet":
        """Press keys; a step that begins with `=` is typed."""

        async def story() -> None:
            app: Any = Workbench(lambda: self.screen)
            async with app.run_test(size=size) as pilot:
                await settled(app, pilot)
                for step in ("m", "2", *steps):
                    for key in step[1:] if step.startswith("=") else (step,):
                        await pilot.press({" ": "space", ".": "full_stop", ",": "comma"}.get(key, key))
                    await settled(app, pilot)
                self.cells = cells_of(app)
                if look is not None:
                    look(app)

        asyncio.run(story())
        return self

    @property
    def said(self) -> tuple[What, ...]:
        interview: Any = self.screen.desk.interview
        return tuple(interview.said)


def test_a_blade_is_measured_place_by_place_and_goes_in_as_one_entry(ruleset: Ruleset, stage: Any) -> None:
    sheet = Sheet(measured(ruleset), stage)
    sheet.play("f2", "f3", "=0.55 0,57", "enter", "=0.40", "ctrl+s")
    assert sheet.said == (
        ThicknessMeasured(
            "tip",
            (
                Spot("spine", 10, (0.55, 0.57), "upper"),  # the middle belongs to neither side
                Spot("rail", 10, (0.40,), "upper", "left"),
            ),
        ),
    )


def test_another_place_and_inches_are_taken(ruleset: Ruleset, stage: Any) -> None:
    sheet = Sheet(measured(ruleset), stage, Length.INCH)
    sheet.play("down", "down", "down", "=0.5 channel 0.02", "ctrl+s")
    (what,) = sheet.said
    assert isinstance(what, ThicknessMeasured)
    (spot,) = what.spots
    assert spot.lane == "channel"
    assert (spot.at, *spot.values) == pytest.approx((12.7, 0.508))


def test_distances_from_elsewhere_may_say_how_far_that_is_from_the_tip(ruleset: Ruleset, stage: Any) -> None:
    sheet = Sheet(measured(ruleset, "shoulder"), stage)
    sheet.play("=0.5", *["down"] * 4, "=27.5", "ctrl+s")
    (what,) = sheet.said
    assert isinstance(what, ThicknessMeasured)
    assert (what.datum, what.from_tip) == ("shoulder", 27.5)


@pytest.mark.parametrize(
    "steps, said",
    [
        (("=thin", "ctrl+s"), "is no thickness"),
        (("=9", "ctrl+s"), "is no thickness"),
        (("down", "down", "down", "=10 heart 0.5", "ctrl+s"), "the lanes are"),
        (("ctrl+s",), "Nothing is typed yet"),
    ],
)
def test_what_cannot_be_meant_is_told_and_nothing_is_written(
    steps: tuple[str, ...], said: str, ruleset: Ruleset, stage: Any
) -> None:
    sheet = Sheet(measured(ruleset), stage).play(*steps)
    assert said in sheet.cells
    assert sheet.said == ()


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (40, 24)], ids=lambda size: str(size[0]))
def test_the_sheet_names_unit_datum_targets_and_keys(
    size: tuple[int, int], ruleset: Ruleset, stage: Any, snapshot: Any
) -> None:
    sheet = Sheet(measured(ruleset), stage)
    sheet.play("f2", "=0.55", size=size, look=lambda app: snapshot(app, f"sheet-thickness-{size[0]}"))
    shown = " ".join(sheet.cells.replace("│", " ").split())
    assert "in mm from the tip" in shown
    assert "spine at 10 (0.52 ± 0.03)" in shown


def test_a_story_shows_the_thicknesses_that_were_measured(ruleset: Ruleset) -> None:
    rules = measured(ruleset)
    what = ThicknessMeasured("tip", (Spot("spine", 10, (0.6,), "upper"),))
    reed = ReedId("a" * 32)
    entries = (Entry(EntryId("b" * 32), reed, MORNING.isoformat(), MARK, what),)
    assert blades(rules.thickness[0], entries) is not None
    page = story_page(history(entries), entries, rules, Length.MM, MORNING, 60).plain
    assert "Upper blade" in page
    assert "0.60 ▲" in page
