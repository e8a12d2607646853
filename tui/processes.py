"""Work that is shared out among several processes, all of which end with the one that sent it.

Apart from who shares out what: reeds that are played, parts that are judged. What runs in another
process has to be importable by name.
"""

import os
import signal
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from contextlib import contextmanager
from multiprocessing import get_context, parent_process
from multiprocessing.connection import wait
from multiprocessing.synchronize import Event
from threading import Thread
from typing import Final, TypeVar

Portion = TypeVar("Portion")
Found = TypeVar("Found")
Given = TypeVar("Given")

_stops: Final[list[Event]] = []
"""In a process that was started here: what says that nobody waits for its answers any more."""


@contextmanager
def started(processes: int, begin: Callable[[Given], None], given: Given) -> Iterator[ProcessPoolExecutor]:
    """Start processes, each of which first calls `begin` with what is `given`; after that they end."""
    # Started afresh: a copy of a process that has threads (a screen, a test) may stand still for ever.
    context = get_context("spawn")
    stop = context.Event()
    pool = ProcessPoolExecutor(processes, context, _join, (stop, begin, given))
    try:
        yield pool
    finally:
        stop.set()
        pool.shutdown(wait=True, cancel_futures=True)


def shared_out(
    work: Callable[[Portion], list[Found]],
    portions: Sequence[Portion],
    processes: int,
    begin: Callable[[Given], None],
    given: Given,
) -> Iterator[Found]:
    """Do `work` on every portion, and give what was found, in no certain order.

    Work that takes its time asks `told_to_stop` in between.
    """
    with started(processes, begin, given) as pool:
        for done in as_completed([pool.submit(work, portion) for portion in portions]):
            yield from done.result()


def told_to_stop() -> bool:
    """Whether nobody waits for this process's answers any more."""
    return any(stop.is_set() for stop in _stops)


def _join(stop: Event, begin: Callable[[Given], None], given: Given) -> None:
    # Ctrl-C reaches every process of the terminal; the first one hears it for all.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    Thread(target=_end_with_the_first, daemon=True).start()
    _stops.append(stop)
    begin(given)


def _end_with_the_first() -> None:
    """Wait until the first process is gone, however it went, and end this one on the spot.

    A process that is ended by a signal other than Ctrl-C (a closed window, a `kill`) tells nobody.
    """
    first = parent_process()
    if first is not None:
        wait([first.sentinel])
        os._exit(1)
