"""What stands on a screen kept as a file: which of it, where to, and what came of it."""

import asyncio
from collections.abc import Sequence
from pathlib import Path
from typing import Final

from textual.app import App

from engine.refusal import TooWideError
from kb.disk import DiskError
from tui.app.screens.sheet import ChoiceSheet, LineSheet, Row
from tui.draw.literal import literal
from tui.draw.printing import PrintingError
from tui.language import worded
from tui.offering import Offer, Subject, keep, offers, place_of

PATIENCE: Final = 0.4
"""Seconds after which it is said that a file is being made."""


async def keep_as_file(app: App[int], subject: Subject) -> None:
    """Ask what to keep and where, make it beside the screen, and say where it went."""
    rows = [Row(offer, literal(offer.title), " ".join(offer.suffixes)) for offer in offers(subject)]
    offer = await app.push_screen_wait(ChoiceSheet(worded("Keep what as a file?"), rows))
    if offer is None:
        return
    said, typed = (
        worded("Its ending says what it becomes: {endings}", endings=_one_of(offer.suffixes)),
        offer.file,
    )
    while True:
        written = await app.push_screen_wait(LineSheet(worded("In which file?"), said, typed, goes_on=True))
        if written is None:
            return
        typed, (path, is_taken) = written, place_of(written)
        if path.suffix.lower() not in offer.suffixes:
            said = worded("▲ The name must end in {endings}.", endings=_one_of(offer.suffixes))
            continue
        if is_taken and not await _may_replace(app, path):
            said = worded("Another name, then.")
            continue
        fault = await _made(app, offer, path)
        if fault is None:
            app.notify(worded("Kept: {file}", file=literal(str(path.absolute()))), timeout=20, markup=False)
            return
        said = literal(f"▲ {fault}")


async def _may_replace(app: App[int], path: Path) -> bool:
    rows = [
        Row("no", worded("no, leave it")),
        Row("yes", worded("yes, write over it"), worded("what it holds is lost")),
    ]
    heading = worded("{path} is there already. Write over it?", path=literal(str(path)))
    return await app.push_screen_wait(ChoiceSheet(heading, rows)) == "yes"


async def _made(app: App[int], offer: Offer, path: Path) -> str | None:
    """Make the file; give what went wrong, if anything did."""
    said = worded("Making {name} … You can go on meanwhile.", name=literal(path.name))
    waiting = app.set_timer(PATIENCE, lambda: app.notify(said, markup=False))
    try:
        await asyncio.to_thread(keep, offer, path)
    except (DiskError, PrintingError, TooWideError) as fault:
        return str(fault)
    finally:
        waiting.stop()
    return None


def _one_of(suffixes: Sequence[str]) -> str:
    *others, last = suffixes
    return worded("{others} or {last}", others=", ".join(others), last=last) if others else last
