"""Coverage in several processes. The engine judges each part; here is only who judges which.

Apart from the command because the full screen can use it too, and because what runs in another
process has to be importable by name.
"""

import signal
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from dataclasses import replace
from multiprocessing import get_context
from multiprocessing.synchronize import Event
from typing import Final

from engine.coverage.noticing import Roll
from engine.coverage.parts import Part
from engine.coverage.tally import Judged, judge
from kb.model import Ruleset

AT_ONCE: Final = 6
"""Parts in one portion: enough to be worth sending, few enough for progress to be seen."""
WORTH_SENDING: Final = 400
"""Runs of a trial, at most, that are done here: starting other processes takes longer."""

_Work = tuple[Ruleset, Roll, Event]
_own: list[_Work] = []
"""In a process that judges: ruleset, its trials, and whether to stop."""


def judged(ruleset: Ruleset, roll: Roll, parts: Sequence[Part], processes: int) -> Iterator[Judged]:
    """Judge each part, and give it when it is done, in no certain order."""
    if processes == 1 or len(parts) * len(roll.watchers) <= WORTH_SENDING:
        yield from (judge(ruleset, roll, part) for part in parts)
        return
    # Started afresh: a copy of a process that has threads (a screen, a test) may stand still for ever.
    context = get_context("spawn")
    stop = context.Event()
    # The fresh copy holds no cached views, which cannot travel to another process.
    pool = ProcessPoolExecutor(processes, context, _begin, (replace(ruleset), roll, stop))
    try:
        portions = [
            pool.submit(_portion, tuple(parts[first : first + AT_ONCE]))
            for first in range(0, len(parts), AT_ONCE)
        ]
        for portion in as_completed(portions):
            yield from portion.result()
    finally:
        stop.set()
        pool.shutdown(wait=True, cancel_futures=True)


def _begin(ruleset: Ruleset, roll: Roll, stop: Event) -> None:
    # Ctrl-C reaches every process of the terminal; the first one hears it for all.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _own.append((ruleset, roll, stop))


def _portion(parts: tuple[Part, ...]) -> list[Judged]:
    ruleset, roll, stop = _own[0]
    found = []
    for part in parts:
        if stop.is_set():
            break
        found.append(judge(ruleset, roll, part))
    return found
