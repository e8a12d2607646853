"""Text from a ruleset and a log may come from anyone: it is shown literally, whatever it holds."""

import asyncio
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
import yaml
from textual.screen import Screen

from engine.interview import AskCard, DoCard, PickCard
from engine.practice import begin
from kb.edit import listing, mapping
from kb.ids import FindingId, PriorityId, RemedyId
from kb.log.entry import Entry, EntryId, Graded, Measured, Pictured, ReedId, ReedMade, Remarked, What
from kb.log.replay import ReedHistory
from kb.model import Expect, Finding, GivenRound, Remedy, Ruleset, Trial
from kb.schema.fields import fields
from kb.units import Length
from tui.app.main import Workbench
from tui.app.marks import Mark, Marks
from tui.app.screens.beside import BesideScreen
from tui.app.screens.form import FormSheet
from tui.app.screens.map import MapScreen
from tui.app.screens.practice import PracticeScreen
from tui.app.screens.reeds import Box, ReedsScreen
from tui.app.screens.rules import RulesScreen
from tui.app.screens.sitting import SittingScreen
from tui.app.screens.trials import TrialsSheet
from tui.app.screens.where import WhereSheet
from tui.desk import Desk
from tui.manuscript import open_manuscript
from tui.wiring import chance_of

TEXTS = (
    "[/] [bold]not bold[/bold] [@click=app.exit]no link[/]",
    "\x1b[2J\x1b]0;taken\x07 \x9b31m",
    "\u202eright to left\u2066 \u200f",
    "a\nb\tc\r\nd",
    "漢字かな" * 30,
    "e\u0301" * 200,
    "{curly} $primary %s \\n",
    "x" * 10_000,
    "[",
)
AT = "2031-05-03T09:30:00+00:00"
TOGETHER = " ".join(TEXTS)
"""All of it at once, for the suite; each alone is the long run."""
EACH = (
    pytest.param(TOGETHER, id="together"),
    *(pytest.param(text, id=repr(text[:12]), marks=pytest.mark.long) for text in TEXTS),
)
STEERING = set("\x1b\x9b\x07\x00\u202e\u2066\u200f\r\t\x7f")


def spoilt(ruleset: Ruleset, text: str) -> Ruleset:
    """Put `text` wherever a ruleset holds text."""

    def finding(one: Finding) -> Finding:
        return replace(one, title=text, ask=text, help=text)

    def operation(one: Remedy) -> Remedy:
        return replace(one, title=text, do=text, caution=text, too_far=text)

    return replace(
        ruleset,
        title=text,
        findings=tuple(finding(one) for one in ruleset.findings),
        operations=tuple(operation(one) for one in ruleset.operations),
        causes=tuple(replace(one, title=text) for one in ruleset.causes),
        priorities=tuple(replace(one, title=text, goal=text, ask=text) for one in ruleset.priorities),
        zones=tuple(replace(one, title=text) for one in ruleset.zones),
        tools=tuple(replace(one, title=text) for one in ruleset.tools),
        quantities=tuple(replace(one, title=text, unit=text) for one in ruleset.quantities),
    )


@pytest.mark.parametrize("text", EACH)
def test_any_text_is_shown_literally_on_every_card_and_sheet(text: str, ruleset: Ruleset, stage: Any) -> None:
    bad = spoilt(ruleset, text)
    cards = (
        AskCard(bad.finding[FindingId("spine-narrow")], None, False, (text,)),
        AskCard(bad.finding[FindingId("opening-wide")], bad.quantities[0].id, False, (text,)),
        PickCard(bad.priorities[0], bad.of_priority(PriorityId("response"))),
        DoCard(bad.operation[RemedyId("flatten-second")], (text, text)),
    )

    async def story(card: Any) -> None:
        desk: Desk = replace(stage(card), ruleset=bad, name=text, notes=(text,))
        remark = Entry(EntryId("f" * 32), desk.reed, desk.entries[-1].at, desk.mark, Remarked(text))
        desk = replace(desk, entries=(*desk.entries, remark))
        app = Workbench(lambda: SittingScreen(desk, Length.MM, lambda _: None))
        async with app.run_test(size=(80, 24)) as pilot:
            await app.workers.wait_for_complete()
            for key in ("", "w", "escape", "v", "escape", "f", "escape", "m", "escape", "o", "escape", "t"):
                if key:
                    await pilot.press(key)
                await pilot.pause()
                shown = {sign for line in _lines(app) for sign in line}
                assert not shown & STEERING, key
                assert app.return_value is None, key

    for card in cards:
        asyncio.run(story(card))


def hostile_screens(bad: Ruleset, text: str, folder: Path) -> dict[str, Callable[[], Screen[Any]]]:
    """Make every screen, with `text` in every field that it shows."""
    path = folder / "hostile.yaml"
    path.write_text(
        yaml.safe_dump({"title": text, "causes": {"a": {"title": text, "why": text}}}, allow_unicode=True)
    )
    ids: list[str] = [*bad.finding, *bad.cause]
    marks = Marks(text, {id_: Mark("●", text, loud=True) for id_ in ids})
    source = chance_of(1, 0)
    practice = begin(bad, source)
    assert practice is not None
    reed = ReedHistory(
        ReedId("a" * 32), text, text, 3, text, None, pinned=False, created=AT, last_used=AT, reason=text
    )
    whats: tuple[What, ...] = (
        ReedMade(text),
        Remarked(text),
        Measured(bad.quantities[0].id, 1.3),
        Graded(text, text),
        Pictured(text, text),
    )
    entries = tuple(Entry(EntryId(f"{n:032x}"), reed.id, AT, None, what) for n, what in enumerate(whats))
    other = replace(bad, title=f"{text}!", causes=tuple(replace(one, title=f"{text}!") for one in bad.causes))
    box = Box(
        lambda: (reed,),
        (),
        lambda *_: pytest.fail("not opened"),
        lambda _: None,
        lambda _: entries,
        lambda _: bad,
        lambda *_: None,
        lambda: datetime(2031, 5, 4, tzinfo=UTC),
    )
    value = mapping([("title", text), ("why", text), ("sources", listing([text]))])
    return {
        "map": lambda: MapScreen(bad, Marks(), Length.MM),
        "map of a reed": lambda: MapScreen(bad, marks, Length.INCH, "throat-tight"),
        "rules": lambda: RulesScreen(open_manuscript(str(path))),
        "beside": lambda: BesideScreen(bad, other),
        "trials": lambda: TrialsSheet(
            replace(bad, trials=(Trial(text, (GivenRound(),), Expect(step=(text,))),))
        ),
        "form": lambda: FormSheet("Cause", fields("causes"), value, [text]),
        "practice": lambda: PracticeScreen(practice, source, lambda: chance_of(1, 0), 1),
        "box": lambda: ReedsScreen(box),
        "where": lambda: WhereSheet(bad, bad.zones[0].id, bad.operations[0]),
    }


KEYS = {
    "map": "right enter d escape o escape slash escape",
    "map of a reed": "left right right d escape o escape",
    "rules": "f3 f2 escape f4 escape",
    "beside": "down",
    "trials": "down",
    "form": "down down",
    "practice": "1 enter 2 enter 6 enter 1 8 4",
    "box": "h escape slash escape a escape",
    "where": "",
}


@pytest.mark.parametrize("screen", KEYS)
@pytest.mark.parametrize("text", EACH)
def test_any_text_is_shown_literally_on_every_screen(
    text: str, screen: str, ruleset: Ruleset, tmp_path: Path
) -> None:
    bad = spoilt(ruleset, text)

    async def story() -> None:
        app: Any = Workbench(Screen)
        async with app.run_test(size=(80, 24)) as pilot:
            await app.push_screen(hostile_screens(bad, text, tmp_path)[screen]())
            for key in ("", *KEYS[screen].split()):
                if key:
                    await pilot.press(key)
                await pilot.pause()
                shown = {sign for line in _lines(app) for sign in line}
                assert not shown & STEERING, key
                assert app.return_value is None, key

    asyncio.run(story())


def _lines(app: Any) -> list[str]:
    strips = app.screen._compositor.render_strips()
    return ["".join(segment.text for segment in strip) for strip in strips]


def test_markup_is_shown_and_not_obeyed(ruleset: Ruleset, stage: Any) -> None:
    text = "[bold]not bold[/bold]"
    bad = spoilt(ruleset, text)

    async def story() -> str:
        card = AskCard(bad.finding[FindingId("spine-narrow")], None, False, ())
        app = Workbench(lambda: SittingScreen(stage(card), Length.MM, lambda _: None))
        async with app.run_test(size=(120, 40)) as pilot:
            await app.workers.wait_for_complete()
            await pilot.pause()
            return "\n".join(_lines(app))

    assert text in asyncio.run(story())
