"""Makes the pictures of maps, trees and pages in docs/gallery: `python -m tests.support.gallery`.

Maps, trees and zones come from the command line. Pictures of pages need Chromium, node and
CANEBRAKE_PAGE_TOOLS, as tests/tui/test_handout_in_a_browser.py says; without them they are left as they are.
"""

import os
import shutil
import subprocess
import tempfile
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path
from typing import Final

from kb.ids import FindingId, QuantityId, RemedyId
from kb.log.entry import (
    Answered,
    Entry,
    EntryId,
    Graded,
    Measured,
    ReedId,
    ReedMade,
    Remarked,
    RemedyDone,
    SittingOpened,
    Spot,
    ThicknessMeasured,
    What,
)
from kb.log.store import ReedLog
from kb.model import Answer
from tests.support.running import ROOT, run_here
from tui.box import log_path

GALLERY: Final = ROOT / "docs" / "gallery"
WHISTLE: Final = str(ROOT / "tests" / "golden" / "penny-whistle-voicing.yaml")
REED: Final = "Alder 3"
"""An invented reed."""
OPENING: Final = QuantityId("tip-opening")
LATE: Final = FindingId("low-late")
LIFE: Final[tuple[tuple[int, tuple[What, ...]], ...]] = (
    (
        0,
        (
            ReedMade(REED, "notch"),
            SittingOpened(1, 21.0, 45.0),
            Measured(OPENING, 1.75),
            Answered(LATE, Answer.YES),
            Answered(FindingId("crow-lacks-low"), Answer.YES),
            RemedyDone(RemedyId("flatten-wire-1")),
            Measured(OPENING, 1.5),
        ),
    ),
    (
        2,
        (
            SittingOpened(2, 20.0, 52.0),
            Measured(OPENING, 1.35),
            Answered(LATE, Answer.SLIGHTLY),
            ThicknessMeasured(
                "tip",
                (
                    Spot("spine", 13, (0.62,), "upper"),
                    Spot("channel", 13, (0.45,), "upper", "left"),
                    Spot("rail", 13, (0.30,), "upper", "right"),
                    Spot("spine", 27, (0.90,), "upper"),
                ),
            ),
            RemedyDone(RemedyId("scrape-back")),
            Remarked("The crow opened up at once."),
            Graded("rehearsal", "low E still slow"),
        ),
    ),
    (6, (SittingOpened(3, 22.0, 38.0), Measured(OPENING, 1.2), Answered(LATE, Answer.SLIGHTLY))),
)
"""Its sittings, with the day on which each was."""


def make() -> None:
    """Make all pictures anew."""
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        live(home)
        for words in (
            ["map", "bassoon", "--about", "heart-heavy", "-o", "map.png"],
            ["map", "bassoon", "--about", "heart-heavy", "--reed", REED, "-o", "map-of-a-reed.png"],
            ["tree", WHISTLE, "--chart", "first-lesson", "-o", "chart.png"],
            ["zones", "bassoon", "-o", "zones.png"],
        ):
            _run([*words[:-1], str(GALLERY / words[-1])], home)
        whole, reed = home / "whole.html", home / "reed.html"
        _run(["handout", "bassoon", "-o", str(whole)], home)
        _run(["handout", "bassoon", "--reed", REED, "-o", str(reed)], home)
        _shoot(f"{whole}#step-scrape-back", "handout.png", "light")
        _shoot(f"{reed}#readings", "handout-dark.png", "dark")


def live(home: Path) -> None:
    """Write the life of the invented reed into a log."""
    began, numbers = datetime(2026, 11, 18, 17, tzinfo=UTC), count()
    with ReedLog.open(log_path(home)) as log:
        for day, whats in LIFE:
            at = (began + timedelta(days=day)).isoformat()
            reed = ReedId("alder")
            log.append(*(Entry(EntryId(f"e{next(numbers)}"), reed, at, None, what) for what in whats))


def _run(words: list[str], home: Path) -> None:
    ran = run_here(words, home)
    if ran.code != 0:
        raise SystemExit(ran.err)


def _shoot(where: str, picture: str, scheme: str) -> None:
    node, chromium = shutil.which("node"), shutil.which("chromium")
    tools = os.environ.get("CANEBRAKE_PAGE_TOOLS")
    if node is None or chromium is None or tools is None:
        print(f"left as it is: {picture}")
        return
    subprocess.run(
        [node, str(ROOT / "tests/support/shot.mjs"), where, str(GALLERY / picture), scheme, "390", "844"],
        env={**os.environ, "PAGE_TOOLS": tools, "CHROMIUM": chromium},
        check=True,
    )


if __name__ == "__main__":
    make()
