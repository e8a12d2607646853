"""Every screen in another language: nothing of our own is left in English, whatever is opened on it."""

import asyncio
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from textual.binding import Binding
from textual.screen import Screen

from engine.case import Case
from engine.practice import begin
from kb.ids import FindingId, QuantityId, RemedyId, RulesetId
from kb.log.entry import Entry, EntryId, Graded, Measured, Played, ReedId, ReedMade, Rested, SittingOpened
from kb.log.store import ReedLog
from kb.model import Answer, Ruleset
from kb.schema.fields import fields
from kb.settings import CHOICES
from kb.units import Length
from tests.support.lookalike import Lookalike, in_plain_letters, written_alike
from tests.tui.app.conftest import ADVICE, MARK, cells_of
from tests.tui.app.test_app_reeds import surroundings
from tests.tui.app.test_app_rules import WHISTLE
from tests.tui.app.test_app_sitting import WHY, card_of
from tests.tui.app.test_app_thickness import measured
from tui.app import keys
from tui.app.doors import reeds_screen
from tui.app.main import Workbench
from tui.app.marks import marks_of
from tui.app.screens.map import MapScreen
from tui.app.screens.practice import PracticeScreen
from tui.app.screens.rules import RulesScreen
from tui.app.screens.sitting import SittingScreen
from tui.box import log_path
from tui.draw.known import known_of
from tui.language import texts_from
from tui.manuscript import SECTIONS, open_manuscript
from tui.shelf import installed_ids, usable_ruleset
from tui.wiring import chance_of

SIZE = (120, 40)
CARDS = ("ask", "ask-zone", "measure", "overview", "pick", "do", "rest", "stop", "disagree")
KEYS = " ".join(keys.shown(one) for one in vars(keys).values() if isinstance(one, Binding))
UNITS = "mm C h d"
LOGGED = "Willow 3 notch E3 zz zzz"
FILES = "svg png pdf dot txt html x invented-willow-3-map.svg"
ENGINES = (*WHY, "Every priority is clear.", "ask")
"""Sentences that the engine makes: in `engine/wording.py`, not yet looked up."""


@pytest.fixture(autouse=True)
def in_another_language() -> Iterator[None]:
    with texts_from(Lookalike()):
        yield


@pytest.fixture(scope="session")
def ruleset(ruleset: Ruleset) -> Ruleset:
    """Give the invented ruleset as an author of that language writes it."""
    written: Ruleset = written_alike(measured(ruleset))
    return written


def look_through(make: Callable[[], Screen[Any]], pressed: str = "", may: Sequence[str] = ()) -> None:
    """Open a screen, press keys, and after each find no word of ours in English."""

    async def story() -> None:
        app: Any = Workbench(Screen)
        async with app.run_test(size=SIZE) as pilot:
            await app.push_screen(make())
            await quiet(app, pilot)
            for key in ("", *pressed.split()):
                if key:
                    await pilot.press(key)
                    await quiet(app, pilot)
                seen = shown(app)
                left = in_plain_letters(seen, KEYS, UNITS, LOGGED, *may)
                assert left == set(), f"after {key!r}:\n{seen}"

    asyncio.run(story())


def shown(app: Any) -> str:
    """Give what one looks at: the sheet where one lies on the screen, which cuts the words behind it."""
    if not app.screen.is_modal:
        return cells_of(app)
    place = app.screen.query(".sheet").first().region
    strips = app.screen._compositor.render_strips()[place.y : place.bottom]
    return "\n".join(strip.crop(place.x, place.right).text.rstrip() for strip in strips)


async def quiet(app: Any, pilot: Any) -> None:
    """Wait until all that works beside the screen is done, or waits for an answer."""
    await pilot.pause()
    for _ in range(500):
        if app.screen.is_modal or all(one.is_finished for one in app.workers):
            break
        await asyncio.sleep(0.01)
    await pilot.pause()


@pytest.mark.parametrize("kind", CARDS)
def test_a_card(kind: str, ruleset: Ruleset, stage: Any) -> None:
    card = card_of(ruleset, kind)
    look_through(lambda: SittingScreen(stage(card), Length.MM, lambda _: None), may=ENGINES)


def test_all_that_is_opened_at_the_desk(ruleset: Ruleset, stage: Any) -> None:
    desk = replace(stage(*[card_of(ruleset, "do")] * 9), ruleset=ruleset)
    sheets = "w escape t escape question_mark escape comma 1 escape comma 5 escape f escape f enter escape "
    sheets += "m escape m enter 9 9 enter escape m down enter f2 f3 ctrl+s x ctrl+s escape o escape r escape "
    sheets += "b escape h enter 9 9 9 enter escape k enter ctrl+u x enter escape x escape c i l z"
    look_through(
        lambda: SittingScreen(desk, Length.MM, lambda _: None, ticks=lambda: 0.0),
        sheets,
        may=(
            *ENGINES,
            "spine channel rail tip",
            FILES,
            *CHOICES,
            *(one for row in CHOICES.values() for one in row),
        ),
    )


def test_the_map(ruleset: Ruleset) -> None:
    case = Case().with_answer(FindingId("crow-muffled"), Answer.YES)
    case = case.with_gap(RemedyId("flatten-second"), new_sitting=False)
    known = known_of("Willow 3", ruleset, case, ADVICE.belief)
    marks = marks_of(known, ruleset, case, ADVICE.step)
    ids = ["invented", *ruleset.finding, *ruleset.cause, *ruleset.operation]
    look_through(
        lambda: MapScreen(ruleset, marks, Length.MM),
        "right right left enter slash z z z escape d escape o escape",
        ids,
    )


BOXFUL = (
    ("Alder 1", (Graded("concert", "sings"), Played(3.5))),
    (
        "Birch 2",
        (
            SittingOpened(1),
            Measured(QuantityId("tip-opening"), 1.62),
            Rested(None, new_sitting=True, hours=12.0),
        ),
    ),
    ("Cedar 3", ()),
    ("Dogwood 4", (SittingOpened(1), Graded("set aside", "split"))),
)


def test_the_box(tmp_path: Path) -> None:
    around = surroundings(tmp_path)
    with ReedLog.open(log_path(around.data_folder)) as log:
        look_through(lambda: reeds_screen(log, around, lambda _: None), "n escape question_mark escape")
        for name, whats in BOXFUL:
            reed = ReedId(around.new_id())
            for what in (ReedMade(name), *whats):
                at = around.now().isoformat(timespec="seconds")
                log.append(
                    Entry(EntryId(around.new_id()), reed, at, replace(MARK, id=RulesetId("gone")), what)
                )
        look_through(
            lambda: reeds_screen(log, around, lambda _: None),
            "down down h escape slash z z z enter slash escape g escape a escape v escape n a enter escape k",
            may=(
                *(name for name, _ in BOXFUL),
                "concert",
                "set aside",
                "tip-opening",
                "a z zz zzz",
                *installed_ids(),
            ),
        )


def test_the_rules(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("whistle.yaml").write_text(WHISTLE, encoding="utf-8")
    schema = [
        part
        for section in SECTIONS
        for one in fields(section)
        for part in (one.title, one.says, *one.choices)
    ]
    look_through(
        lambda: RulesScreen(open_manuscript("whistle.yaml")),
        "f1 escape f2 escape f3 f4 f5 escape f8 escape f9 down enter x enter escape escape",
        may=(WHISTLE, "whistle.yaml", *SECTIONS, *schema, *installed_ids()),
    )


def test_practice() -> None:
    ruleset: Ruleset = written_alike(usable_ruleset("tests/golden/penny-whistle-voicing.yaml"))
    source = chance_of(3, 0)
    practice = begin(ruleset, source)
    assert practice is not None
    look_through(
        lambda: PracticeScreen(practice, source, lambda: chance_of(3, 0), 3),
        "1 5 enter slash escape 6 down enter enter 7 escape 8 enter pagedown",
    )
