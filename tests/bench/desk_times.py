"""How long from a key to the next question, and what the screen costs while nobody touches it.

Both beside a bare application in the same terminal: the clock of an answer stops when the new question
has been painted; idling is the processor time of some seconds, as the system counts it.
"""

import asyncio
import gc
import os
import pty
import select
import signal
import sys
import tempfile
import time
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from statistics import quantiles
from typing import Any

from textual import actions
from textual.app import App, ComposeResult
from textual.widgets import Static

from engine.interview import Card, Interview, PickCard
from kb.units import Length
from tests.bench.first_paint import BARE, ROOT, surroundings
from tui.app import keys
from tui.app.main import Workbench
from tui.app.screens.sitting import SittingScreen
from tui.choosing import NoRuleset, choose
from tui.cli.main import RARELY
from tui.desk import Desk
from tui.wiring import here

KEYS = 40
STORIES = 3
"""Sittings that are answered, each in another mixture."""
LONGEST = 10.0
"""Seconds after which nothing more comes."""
IDLE = 4.0
"""Seconds that are looked at."""
SETTLED = 3.0
"""Seconds after which the first question and its belief are there."""


class Bare(App[None]):
    """Shows another line at each key."""

    count = 0

    def compose(self) -> ComposeResult:
        yield Static("0")

    def on_key(self) -> None:
        self.count += 1
        self.query_one(Static).update(str(self.count))


async def _painted(app: Any) -> None:
    done = asyncio.Event()
    app.call_after_refresh(done.set)
    await done.wait()


@dataclass(frozen=True, slots=True)
class Took:
    """What one key took until the screen was painted, in milliseconds."""

    clock: float
    processor: float
    """Of all threads: what a busy machine leaves the same."""
    engine: float = 0.0
    """Of the processor's time, what the engine alone takes for the same card."""


async def _timed(pilot: Any, key: str, stands: Callable[[], bool]) -> Took | None:
    """Press a key; wait until what it leads to stands there and is painted. None: nothing comes any more."""
    began, used = time.perf_counter(), time.process_time()
    await pilot.press(key)
    while not stands():
        await asyncio.sleep(0.005)
        if time.perf_counter() - began > LONGEST:
            return None
    painted = asyncio.Event()
    pilot.app.call_after_refresh(painted.set)
    await painted.wait()
    return Took(1000 * (time.perf_counter() - began), 1000 * (time.process_time() - used))


async def _bare_keys() -> list[Took]:
    async with Bare().run_test(size=(80, 24)) as pilot:
        took = [await _timed(pilot, "n", lambda: True) for _ in range(KEYS)]
    return [one for one in took if one is not None]


async def _answers(phase: int) -> list[Took]:
    """Answer what is asked, in a mixture that begins at `phase`, until a sitting ends."""
    chosen = choose("bassoon", None, None)
    assert not isinstance(chosen, NoRuleset)
    around = here()
    desk = Desk.without_reed(chosen, clock=around.now, ids=around.new_id)
    screen = SittingScreen(desk, Length.MM, lambda _: None)
    app: Any = Workbench(lambda: screen)
    took: list[Took] = []
    # As the command does at its start.
    gc.set_threshold(RARELY)
    gc.freeze()
    async with app.run_test(size=(80, 24)) as pilot:
        await app.workers.wait_for_complete()
        for number in range(phase, phase + KEYS):
            card = screen.card
            if isinstance(card, PickCard):
                await pilot.press("enter")  # takes the marked line; the key that is timed writes it down
            order = ("n", "u", "a", "d") if number % 3 else ("u", "n", "p", "d")
            key = next((one for one in order if _means(screen, one)), "n")
            timed = await _timed(pilot, key, partial(_is_another, screen, card))
            if timed is None:
                break  # an end: nothing more is asked
            await app.workers.wait_for_complete()
            again = Interview.begin(chosen.ruleset, screen.desk.entries)
            used = time.process_time()
            assert again.card is not None
            took.append(replace(timed, engine=1000 * (time.process_time() - used)))
    return took


def _is_another(screen: SittingScreen, card: Card | None) -> bool:
    return screen.card is not None and screen.card != card


def _means(screen: SittingScreen, key: str) -> bool:
    """Whether a key of the card means something now."""
    return any(
        screen.check_action(action, parameters)
        for binding in keys.SITTING
        if key in binding.key.split(",")
        for action, parameters in [_parsed(binding.action)]
    )


def _parsed(action: str) -> tuple[str, tuple[object, ...]]:
    _, name, parameters = actions.parse(action)
    return name, parameters


def _idle(words: list[str]) -> float:
    """Give the milliseconds of processor time that a program takes in IDLE seconds of doing nothing."""
    with tempfile.TemporaryDirectory() as home:
        child, terminal = pty.fork()
        if child == 0:
            os.chdir(ROOT)
            settings = {**surroundings(), "TERM": "xterm-256color", "CANEBRAKE_HOME": home}
            os.execve(sys.executable, [sys.executable, *words], settings)  # noqa: S606 - our own command line
        try:
            _drain(terminal, SETTLED)
            before = _used(child)
            _drain(terminal, IDLE)
            return 1000 * (_used(child) - before)
        finally:
            os.kill(child, signal.SIGKILL)
            os.waitpid(child, 0)
            os.close(terminal)


def _drain(terminal: int, seconds: float) -> None:
    end = time.monotonic() + seconds
    while (left := end - time.monotonic()) > 0:
        if select.select([terminal], [], [], left)[0]:
            os.read(terminal, 65536)


def _used(process: int) -> float:
    """Give the processor seconds of a process, where the system tells them in /proc."""
    parts = Path(f"/proc/{process}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
    return (int(parts[11]) + int(parts[12])) / os.sysconf("SC_CLK_TCK")


def _late(times: Iterable[float]) -> float:
    """Give the 95th percentile."""
    return quantiles(times, n=20)[18]


def desk_times() -> Iterator[str]:
    """Give the lines of the table."""
    bare = asyncio.run(_bare_keys())
    ours = [one for phase in range(STORIES) for one in asyncio.run(_answers(phase))]
    yield f"key to new question, {len(ours)} answers, 95th percentile, beside a bare one (promised: +50)"
    for what, own, other in (
        ("clock", _late(one.clock for one in ours), _late(one.clock for one in bare)),
        ("processor", _late(one.processor for one in ours), _late(one.processor for one in bare)),
    ):
        yield f"  {what}: {own:.0f} ms beside {other:.0f} ms: +{own - other:.0f}"
    engine = _late(one.engine for one in ours)
    screen = _late(one.processor - one.engine for one in ours)
    yield f"  processor, the engine alone: {engine:.0f} ms, all else: {screen:.0f} ms"
    idle, nothing = _idle(["-m", "tui.cli.main", "interview", "bassoon"]), _idle(["-c", BARE])
    yield f"idle for {IDLE:.0f} s: {idle:.0f} ms of processor time, a bare application {nothing:.0f} ms"


if __name__ == "__main__":
    for line in desk_times():
        print(line)
