"""How long tuning the bassoon rules takes, on a log of virtual reeds, and what 2,000 reeds would take.

The reeds are worked on in the file's order of remedies, up to eight rounds each, as a dogged and not very
clever maker would: long stories, which cost more than those that follow the advice.
"""

import time
from collections.abc import Iterator
from random import Random

from engine.network import network_of
from engine.rehearse import policy_called
from engine.tuning.chances import Chances
from engine.tuning.evidence import LoggedReed, gathered
from engine.tuning.tune import tuned
from tests.support.simulated_log import logged, worked_on
from tui.shelf import usable_ruleset
from tui.tuning import counting

REEDS, GOAL = 200, 2_000
ROUNDS = 8


def tune_times(reeds: int = REEDS) -> Iterator[str]:
    """Measure every stage, with one process and with two."""
    ruleset = usable_ruleset("bassoon")
    network = network_of(ruleset)
    chances = Chances(network)
    policy = policy_called(ruleset, "in-order")
    logs = logged(ruleset, lambda luck: worked_on(ruleset, network, policy, luck, ROUNDS), reeds, 1)
    told = [LoggedReed(0, entries[0].reed, entries) for entries in logs]
    began = time.perf_counter()
    found = gathered(ruleset, network, told, {ruleset.id})
    took = time.perf_counter() - began
    yield f"tuning bassoon: {len(chances.slots)} chances, {reeds} reeds of up to {ROUNDS} rounds"
    yield f"gathering: {took:.2f} s"
    for processes in (1, 2):
        seconds: dict[str, float] = {}
        begun = time.process_time()
        last = ["fit", time.perf_counter()]

        def stage(what: str, _: int, last: list[object] = last, seconds: dict[str, float] = seconds) -> None:
            now = time.perf_counter()
            seconds[str(last[0])] = seconds.get(str(last[0]), 0.0) + now - float(str(last[1]))
            last[:] = [what, now]

        with counting(chances, found.reeds, processes, lambda _, __: None) as count:
            result = tuned(chances, found.reeds, count, Random(1).shuffle, told=stage)
        stage("done", 0)
        whole = sum(seconds.values())
        worked = f", {time.process_time() - begun:.1f} s of them at work" if processes == 1 else ""
        passes = len(result.fit.history)
        yield (
            f"{processes} process{'es' if processes > 1 else ''}: fitting {seconds['fit']:.1f} s "
            f"({passes} passes), trying on reeds held back {seconds['try']:.1f} s, "
            f"together {whole:.1f} s{worked}; "
            f"{GOAL} reeds, as many passes: {whole * GOAL / reeds:.0f} s"
        )
