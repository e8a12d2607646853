"""Pictures of the real screens for docs/gallery: `python -m tests.support.screen_gallery` makes them.

Every scene is played by keys on the running program, with a log of invented reeds in a folder of its
own. The screen library saves what stands there as SVG; a browser without a window draws the PNG. With
names after it, only those pictures are made.
"""

import asyncio
import io
import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path
from typing import Any, Final

from engine.interview import AskCard
from kb.ids import FindingId, QuantityId, RemedyId, RulesetId
from kb.log.entry import (
    Answered,
    Blank,
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
from tests.support.running import ROOT
from tui.app.doors import Place, opened, practice_screen, reeds_screen
from tui.app.main import Workbench
from tui.app.screens.rules import RulesScreen
from tui.box import log_path
from tui.manuscript import open_manuscript
from tui.shelf import usable_ruleset
from tui.wiring import Surroundings

GALLERY: Final = ROOT / "docs/gallery"
WHISTLE: Final = ROOT / "tests/golden/penny-whistle-voicing.yaml"
SMALL, LARGE = (80, 24), (120, 40)
BROWSERS: Final = ("chromium", "chromium-browser", "google-chrome")


@dataclass(frozen=True, slots=True)
class Scene:
    """One picture: how large, what is pressed, and which colours."""

    name: str
    size: tuple[int, int]
    keys: str
    colours: str = "lamp"
    place: str = "box"
    """Where it begins: the box, `rules`, or `practice`."""


ALL_NO: Final = "all-no"
"""Stands for no, as often as something is asked: how often, the rules say."""
IN: Final = f"down enter {ALL_NO}"
"""Takes up Birch 2 for its third sitting, and answers the opening routine."""
SCENES: Final = (
    Scene("box", SMALL, ""),
    Scene("story", SMALL, "down h"),
    Scene("question", SMALL, "down enter"),
    Scene("pick", SMALL, f"{IN} p 2 4"),
    Scene("step", LARGE, f"{IN} f m u f f l e d enter y"),
    Scene("where", SMALL, f"{IN} f m u f f l e d enter y enter"),
    Scene("clock", SMALL, f"{IN} f m u f f l e d enter y c"),
    Scene("thickness", SMALL, "down enter m t h i c k enter f2 f3 0 full_stop 3 4 enter"),
    Scene("as-a-file", SMALL, "down k"),
    Scene("walk", LARGE, "v 2 slash t h r o a t enter"),
    Scene("walk-of-a-reed", SMALL, f"{IN} f m u f f l e d enter y v"),
    Scene("rules", LARGE, "f3", place="rules"),
    Scene("form", SMALL, "f2 s h i m enter f4 down down", place="rules"),
    Scene("practice", SMALL, "4 enter 1 enter", place="practice"),
    Scene("review", LARGE, "4 enter 6 enter 1 8 1", place="practice"),
    Scene("day", LARGE, "down enter n 1 full_stop 4", colours="day"),
    Scene("contrast", SMALL, IN, colours="contrast"),
)
_REEDS: Final[tuple[tuple[str, int, tuple[What, ...]], ...]] = (
    (
        "Alder 1",
        20,
        (
            ReedMade("Alder 1", "notch"),
            SittingOpened(1),
            Graded("concert", "sings low and soft"),
            Played(6.5),
        ),
    ),
    (
        "Birch 2",
        9,
        (
            ReedMade("Birch 2", "notch"),
            Blank(cane="spring batch", made_on="2031-04-01"),
            SittingOpened(1, 21, 48),
            Measured(QuantityId("tip-opening"), 1.7),
            Answered(FindingId("wire-2-slack"), Answer.YES),
            RemedyDone(RemedyId("tighten-wire-2")),
            Rested(RemedyId("overnight"), new_sitting=True),
            SittingOpened(2, 19, 60),
            Measured(QuantityId("tip-opening"), 1.5),
            Remarked("F4 needs watching"),
            Rested(RemedyId("overnight"), new_sitting=True),
            Played(2.0),
        ),
    ),
    ("Hazel 5", 1, (ReedMade("Hazel 5"),)),
)


def surroundings(folder: Path) -> Surroundings:
    """Give a machine with a clock and a folder of its own."""
    minutes, ids = count(), count(1)
    start = datetime(2031, 5, 4, 9, 30, tzinfo=UTC)
    nothing = io.StringIO()
    return Surroundings(
        nothing,
        nothing,
        nothing,
        {"CANEBRAKE_HOME": str(folder)},
        clock=lambda: start + timedelta(minutes=next(minutes)),
        ids=lambda: f"{next(ids):032x}",
        ticks=lambda: 0.0,
    )


def fill(log: ReedLog, around: Surroundings) -> None:
    """Put the invented reeds into the log."""
    mark = RulesetMark(RulesetId("bassoon"), "1.0.0", usable_ruleset("bassoon").digest)
    for _, days, whats in _REEDS:
        reed = ReedId(around.new_id())
        for number, what in enumerate(whats):
            at = around.now() - timedelta(days=days) + timedelta(days=number // 6)
            log.append(Entry(EntryId(around.new_id()), reed, at.isoformat(timespec="seconds"), mark, what))


async def draw(scene: Scene, folder: Path) -> str:
    """Play a scene; give the picture as SVG."""
    around = surroundings(folder)
    with ReedLog.open(log_path(around.data_folder)) as log:
        fill(log, around)
        app: Any = Workbench(
            lambda: reeds_screen(log, around, app.show),
            lambda place, said: opened(Place(place), said, around),
        )
        app.theme = scene.colours
        async with app.run_test(size=scene.size) as pilot:
            await _begin(scene, app, around, folder)
            await _settled(app, pilot)
            for key in scene.keys.split():
                while key == ALL_NO and isinstance(app.screen.card, AskCard):
                    await pilot.press("n")
                    await _settled(app, pilot)
                if key != ALL_NO:
                    await pilot.press(key)
                    await _settled(app, pilot)
            app.clear_notifications()
            await pilot.pause(0.3)
            return str(app.export_screenshot(title="canebrake"))


async def _begin(scene: Scene, app: Any, around: Surroundings, folder: Path) -> None:
    if scene.place == "rules":
        text = WHISTLE.read_text(encoding="utf-8").replace("shows: {high", "shows: {hihg")
        path = folder / "whistle.yaml"
        path.write_text(
            text if scene.name == "rules" else WHISTLE.read_text(encoding="utf-8"), encoding="utf-8"
        )
        os.chdir(folder)
        await app.push_screen(RulesScreen(open_manuscript("whistle.yaml")))
    elif scene.place == "practice":
        await app.push_screen(practice_screen(usable_ruleset("bassoon"), 7, around))


async def _settled(app: Any, pilot: Any) -> None:
    """Wait until nothing is being worked out any more, or a sheet waits for the maker."""
    await pilot.pause()
    for _ in range(1000):
        busy = [one for one in app.workers if not one.is_finished]
        if not busy or app.screen.is_modal:
            break
        await asyncio.sleep(0.02)
    await pilot.pause()


def picture(svg: str, size: tuple[int, int], target: Path, folder: Path) -> None:
    """Draw a saved screen as PNG: with a font that is installed, and nothing fetched from the web."""
    browser = next((path for path in map(shutil.which, BROWSERS) if path), None)
    if browser is None:
        raise SystemExit(f"none of {', '.join(BROWSERS)} is installed; one of them draws the pictures")
    plain = re.sub(r"@font-face\s*{[^}]*}", "", svg).replace("Fira Code", "DejaVu Sans Mono")
    box = re.search(r'viewBox="0 0 ([0-9.]+) ([0-9.]+)"', plain)
    width, height = (round(float(box[1])), round(float(box[2]))) if box else (size[0] * 12, size[1] * 25)
    source = folder / f"{target.stem}.svg"
    source.write_text(plain, encoding="utf-8")
    page = folder / f"{target.stem}.html"
    page.write_text(f'<body style="margin:0">{plain}</body>', encoding="utf-8")
    words = ["--headless", "--no-sandbox", "--hide-scrollbars", f"--window-size={width},{height}"]
    command: Sequence[str] = [browser, *words, f"--screenshot={target}", f"file://{page}"]
    subprocess.run(command, check=True, capture_output=True, timeout=120)


def make(names: Sequence[str], say: Callable[[str], object] = print) -> None:
    """Make the pictures that are named, or all."""
    for scene in SCENES:
        if names and scene.name not in names:
            continue
        with tempfile.TemporaryDirectory() as home:
            svg = asyncio.run(draw(scene, Path(home)))
            picture(svg, scene.size, GALLERY / f"{scene.name}.png", Path(home))
            os.chdir(ROOT)
        say(f"docs/gallery/{scene.name}.png")


if __name__ == "__main__":
    make(sys.argv[1:])
