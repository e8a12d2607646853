"""Rehearsal in several processes. The engine plays; here is only who plays which reed.

Apart from the command because the full screen can use it too, and because what runs in another
process has to be importable by name.
"""

import signal
from collections.abc import Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from dataclasses import replace
from multiprocessing import get_context
from multiprocessing.synchronize import Event
from typing import Final

from engine.playing import Policy
from engine.rehearse import Record, played, policy_called
from kb.model import Ruleset
from tui.wiring import chance_of

AT_ONCE: Final = 8
"""Reeds in one portion: enough to be worth sending, few enough for progress to be seen."""

_Players = tuple[Ruleset, tuple[Policy, ...], int, Event]
_own: list[_Players] = []
"""In a process that plays: ruleset, players with what they remember, seed, and whether to stop."""


def rehearsed(
    ruleset: Ruleset, names: Sequence[str], reeds: int, seed: int, processes: int
) -> Iterator[Record]:
    """Play reeds 0 to `reeds` - 1, and give each when it is done, in no certain order."""
    if processes == 1 or reeds <= AT_ONCE:
        players = tuple(policy_called(ruleset, name) for name in names)
        yield from played(ruleset, players, range(reeds), lambda number: chance_of(seed, number))
        return
    # Started afresh: a copy of a process that has threads (a screen, a test) may stand still for ever.
    context = get_context("spawn")
    stop = context.Event()
    # The fresh copy holds no cached views, which cannot travel to another process.
    begun_with = (replace(ruleset), tuple(names), seed, stop)
    pool = ProcessPoolExecutor(processes, context, _begin, begun_with)
    try:
        portions: list[Future[list[Record]]] = [
            pool.submit(_portion, first, min(first + AT_ONCE, reeds)) for first in range(0, reeds, AT_ONCE)
        ]
        for portion in as_completed(portions):
            yield from portion.result()
    finally:
        stop.set()
        pool.shutdown(wait=True, cancel_futures=True)


def _begin(ruleset: Ruleset, names: tuple[str, ...], seed: int, stop: Event) -> None:
    # Ctrl-C reaches every process of the terminal; the first one hears it for all.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _own.append((ruleset, tuple(policy_called(ruleset, name) for name in names), seed, stop))


def _portion(first: int, last: int) -> list[Record]:
    ruleset, players, seed, stop = _own[0]
    found = []
    for record in played(ruleset, players, range(first, last), lambda number: chance_of(seed, number)):
        found.append(record)
        if stop.is_set():
            break
    return found
