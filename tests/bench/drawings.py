"""How long drawings take: the terminal map of 120 entries is promised within 50 ms."""

import random
from collections.abc import Callable
from functools import partial
from statistics import median
from time import perf_counter

from kb.graph import EntryKind, Graph, LinkKind, MapEntry, MapLink, graph_of
from kb.ids import PriorityId, RulesetId
from kb.model import Priority, Ruleset
from tui.draw.map_svg import draw_pages
from tui.draw.terminal import draw_map
from tui.handout.page import handout
from tui.handout.scope import whole
from tui.shelf import usable_ruleset

RANK = PriorityId("first")
RUNS = 20


def drawings() -> list[str]:
    """Give the table's lines."""
    bassoon = usable_ruleset("bassoon")
    bare = Ruleset(RulesetId("x"), "X", "1", priorities=(Priority(RANK, "First"),))
    rows: list[tuple[str, Callable[[], object], int, str]] = []
    for entries in (12, 39, 120):
        drawn = partial(draw_map, graph_of_size(entries), 300)
        rows.append((f"map of {entries} entries in characters", drawn, RUNS, "50 ms" * (entries == 120)))
    rows += [
        ("map of 120 entries as pages of SVG", lambda: draw_pages(graph_of_size(120), bare), RUNS, ""),
        ("map of the bassoon ruleset as pages", lambda: draw_pages(graph_of(bassoon), bassoon), 5, ""),
        ("handout of the bassoon ruleset", lambda: handout(whole(bassoon)), 3, ""),
    ]
    return [f"{what:<40} {took(do, runs):8.1f} ms  {promise}".rstrip() for what, do, runs, promise in rows]


def took(do: Callable[[], object], runs: int) -> float:
    """Give the median time in milliseconds, after one run that fills caches."""
    do()
    times = []
    for _ in range(runs):
        began = perf_counter()
        do()
        times.append(1000 * (perf_counter() - began))
    return median(times)


def graph_of_size(entries: int, seed: int = 1) -> Graph:
    """Make a map as people write them: what belongs together mostly stands together."""
    source, third = random.Random(seed), entries // 3
    kinds = ((EntryKind.SYMPTOM, "f"), (EntryKind.CAUSE, "c"), (EntryKind.REMEDY, "r"))
    every = tuple(
        MapEntry(f"{letter}{number}", kind, f"{kind} number {number}", RANK if letter == "f" else None)
        for kind, letter in kinds
        for number in range(third)
    )

    def near(number: int) -> int:
        return min(third - 1, max(0, number + source.randint(-3, 3)))

    pairs = {(kind, f"{one}{n}", f"{other}{near(n)}")
             for kind, one, other in ((LinkKind.SHOWS, "c", "f"), (LinkKind.CURES, "r", "c"))
             for n in range(third) for _ in range(3)}  # fmt: skip
    links = tuple(MapLink(source_, target, kind, 0.6, "often") for kind, source_, target in sorted(pairs))
    return Graph(RulesetId("x"), "X", "1", (RANK,), every, links)
