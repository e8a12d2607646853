"""Keeping what a screen shows as a file: what is offered, where it goes, and what is refused."""

import asyncio
import sys
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from textual.screen import Screen

from engine.interview import OverviewCard
from kb.graph import graph_of
from kb.ids import ChartId, ChartStepId, FindingId
from kb.log.replay import history
from kb.model import AskStep, Chart, Ending, Ruleset, StopStep
from kb.units import Length
from tests.support.running import ROOT
from tests.tui.app.conftest import cells_of
from tui.app.main import Workbench
from tui.app.marks import Marks
from tui.app.screens.map import MapScreen
from tui.app.screens.rules import RulesScreen
from tui.app.screens.sitting import SittingScreen
from tui.manuscript import open_manuscript
from tui.offering import Offer, Subject, keep, offers

WHISTLE = ROOT / "tests/golden/penny-whistle-voicing.yaml"
BEGINS = {
    ".svg": b"<?xml",
    ".html": b"<!DOCTYPE html>",
    ".dot": b"digraph",
    ".png": b"\x89PNG",
    ".pdf": b"%PDF",
}


@pytest.fixture
def charted(ruleset: Ruleset) -> Ruleset:
    """Give the invented ruleset with a small chart."""
    crow, done = ChartStepId("crow"), ChartStepId("done")
    ask = AskStep(crow, FindingId("crow-muffled"), yes=done, no=done, slightly=done, unsure=done)
    chart = Chart(ChartId("first"), "A first chart", crow, (ask, StopStep(done, Ending.READY)))
    return replace(ruleset, charts=(chart,))


def made(offer: Offer, suffix: str, folder: Path) -> bytes:
    path = folder / f"kept{suffix}"
    keep(offer, path)
    return path.read_bytes()


def named(found: Iterable[Offer], words: str) -> Offer:
    return next(one for one in found if words in one.title)


def test_rules_offer_map_handouts_tree_chart_and_reed(charted: Ruleset) -> None:
    found = list(offers(Subject(charted, Length.MM, at="low-late")))
    assert [one.title for one in found] == [
        "The whole map",
        "A handout about: Low notes start late",
        "The handout of all rules",
        "The decision tree",
        "The chart: A first chart, priced",
        "The reed with its zones",
    ]
    assert found[0].file == "invented-map.svg"
    assert len({one.file for one in found}) == len(found)


def test_every_offer_writes_what_its_ending_says(charted: Ruleset, stage: Any, tmp_path: Path) -> None:
    desk = stage()
    reed = history(desk.entries)
    part = graph_of(charted).about("throat-tight")
    subject = Subject(charted, Length.MM, part, "throat-tight", reed, desk.entries)
    for offer in offers(subject):
        for suffix in offer.suffixes:
            if suffix in BEGINS and suffix != ".pdf":
                assert made(offer, suffix, tmp_path).lstrip().startswith(BEGINS[suffix]), (
                    offer.title,
                    suffix,
                )
    assert made(named(offers(subject), "reed with"), ".pdf", tmp_path).startswith(BEGINS[".pdf"])
    handout = made(named(offers(subject), "handout of Willow 3"), ".html", tmp_path).decode()
    assert "Willow 3" in handout
    drawn = made(named(offers(subject), "map round"), ".svg", tmp_path).decode()
    assert "Willow 3" in drawn
    assert "The bocal leaks" not in drawn, "only what has to do with the entry"
    assert "Willow 3" in made(named(offers(subject), "map round"), ".dot", tmp_path).decode()


def test_a_name_that_no_system_takes_becomes_one_that_all_do() -> None:
    offer = Offer("x", "Grünes Band / 3: ../..", {".svg": bytes})
    assert offer.file == "gr-nes-band-3.svg"
    assert Offer("x", "苇", {".svg": bytes}).file == "canebrake.svg"


async def played(screen: Screen[Any], keys: str, size: tuple[int, int] = (80, 24)) -> Any:
    app: Any = Workbench(Screen)
    async with app.run_test(size=size) as pilot:
        await app.push_screen(screen)
        await pilot.pause()
        for key in keys.split():
            sheet = app.screen
            await pilot.press(key)
            await pilot.pause()
            while key == "enter" and app.screen is sheet:
                await pilot.pause(0.02)
            while not app.screen.is_modal and any(not one.is_finished for one in app.workers):
                await pilot.pause(0.02)
            await pilot.pause()
        app.cells = cells_of(app)
        app.said = [one.message for one in app._notifications]
    return app


def mapped(ruleset: Ruleset) -> MapScreen:
    return MapScreen(ruleset, Marks(), Length.MM)


def test_the_map_is_kept_where_the_maker_says_and_it_is_said_where(
    ruleset: Ruleset, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    app = asyncio.run(played(mapped(ruleset), "k 1 enter"))
    assert (tmp_path / "invented-map.svg").read_bytes().startswith(BEGINS[".svg"])
    assert str(tmp_path / "invented-map.svg") in " ".join(app.said)


def test_nothing_is_written_over_unasked(
    ruleset: Ruleset, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    there = tmp_path / "invented-map.svg"
    there.write_text("mine", encoding="utf-8")
    app = asyncio.run(played(mapped(ruleset), "k 1 enter 1"))
    assert "Another name, then." in app.cells
    assert there.read_text(encoding="utf-8") == "mine"
    asyncio.run(played(mapped(ruleset), "k 1 enter 2"))
    assert there.read_bytes().startswith(BEGINS[".svg"])


def test_a_missing_library_and_a_strange_ending_are_told_and_another_name_may_follow(
    ruleset: Ruleset, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setitem(sys.modules, "resvg_py", None)
    back = " ".join(["backspace"] * 3)
    png = f"k 1 {back} p n g enter"
    app = asyncio.run(played(mapped(ruleset), png, (120, 40)))
    assert "PNG needs the package resvg-py: install canebrake" in app.cells
    app = asyncio.run(played(mapped(ruleset), f"k 1 {back} x x enter"))
    assert "must end in .svg, .png, .pdf, .dot or .txt" in app.cells
    asyncio.run(played(mapped(ruleset), f"{png} {back} d o t enter"))
    assert [one.name for one in tmp_path.iterdir()] == ["invented-map.dot"]


def test_an_author_keeps_what_the_text_comes_to(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "whistle.yaml").write_text(WHISTLE.read_text(encoding="utf-8"), encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    asyncio.run(played(RulesScreen(open_manuscript("whistle.yaml")), "f12 1 enter"))
    assert "Voicing a penny whistle" in (tmp_path / "penny-whistle-voicing-map.svg").read_text(
        encoding="utf-8"
    )


def test_a_reed_on_the_desk_offers_its_own_handout(
    ruleset: Ruleset, stage: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    card = OverviewCard(ruleset.priorities[0], ())
    asyncio.run(played(SittingScreen(stage(card), Length.MM, print), "k 2 enter"))
    assert "Willow 3" in (tmp_path / "willow-3-handout.html").read_text(encoding="utf-8")
