"""Text from a ruleset and a log may come from anyone: it is shown literally, whatever it holds."""

import asyncio
from dataclasses import replace
from typing import Any

import pytest

from engine.interview import AskCard, DoCard, PickCard
from kb.ids import FindingId, PriorityId, RemedyId
from kb.log.entry import Entry, EntryId, Remarked
from kb.model import Finding, Remedy, Ruleset
from kb.units import Length
from tui.app.main import Workbench
from tui.app.screens.sitting import SittingScreen
from tui.desk import Desk

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


@pytest.mark.parametrize("text", TEXTS, ids=lambda text: repr(text[:12]))
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
