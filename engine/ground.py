"""A case laid out for sweeping: what was said, as bits; every cause, as a table of what it can explain.

Belief and advice both stand on it; neither looks at the case's answers again.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from math import inf, log
from typing import Final

import numpy as np

from engine.case import Case
from engine.findings import Said
from engine.lifelines import (
    Heard,
    LifeLine,
    LinkView,
    background_weight,
    changes_of,
    heard_of,
    lifelines_of,
    silence,
    views_of,
)
from engine.network import Network
from engine.refusal import TooWideError
from engine.sweep import (
    LINE_BIT,
    MOST_BITS,
    WIDEST,
    Floats,
    Ints,
    Plan,
    Thread,
    in_good_order,
    make_plan,
)

MOST_LISTED: Final = 96
"""Sets that a cause may explain, over all its life lines, before its links are swept one by one."""


@dataclass(frozen=True)
class CauseTable:
    """One cause: its life lines, and for each the weight of explaining each set of bits."""

    heard: Heard
    lines: tuple[LifeLine, ...]
    views: tuple[tuple[LinkView, ...], ...]
    """For each life line, its links about which something was said."""
    masks: Ints
    weights: Floats
    """(life lines, masks)."""
    reach: frozenset[int] = frozenset()
    """The findings with bits that it can explain."""
    threads: tuple[Thread, ...] = ()
    """Of a wide cause, which can explain too many sets to list: its links. Then `masks` stand for its
    life lines, one each."""

    @cached_property
    def plain(self) -> Floats:
        """The weight of each mask, over all life lines."""
        return np.asarray(self.weights.sum(axis=0))

    @cached_property
    def lived(self) -> Floats:
        """The weight of each life line, over all masks."""
        return np.asarray(self.weights.sum(axis=1))

    @property
    def is_idle(self) -> bool:
        """Whether it can explain nothing."""
        return len(self.masks) == 1 and not self.threads


@dataclass(frozen=True)
class Ground:
    """Everything about a case that sweeping needs, by number."""

    network: Network
    said: tuple[tuple[Said, ...], ...]
    """For each finding, what was said of it."""
    rounds: int
    bit_of: Mapping[tuple[int, int], int]
    """The bit of (finding, round)."""
    bits: tuple[int, ...]
    """For each finding all its bits."""
    tables: tuple[CauseTable, ...]
    changes: tuple[tuple[tuple[float, float], ...], ...]
    """For each cause the chances of going and of coming in each gap."""

    @cached_property
    def touching(self) -> tuple[tuple[int, ...], ...]:
        """For each finding the causes that can explain one of its bits."""
        found: list[list[int]] = [[] for _ in self.network.findings]
        for cause, table in enumerate(self.tables):
            for finding in table.reach:
                found[finding].append(cause)
        return tuple(tuple(causes) for causes in found)

    @cached_property
    def busy(self) -> tuple[int, ...]:
        """The causes that can explain something; all others fold into `constant`."""
        return tuple(cause for cause, table in enumerate(self.tables) if not table.is_idle)

    @cached_property
    def constant(self) -> float:
        """Log weight of all that no sweep need touch: idle causes, and findings never said to show."""
        idle = [float(table.plain[0]) for table in self.tables if table.is_idle and any(table.views)]
        quiet = [
            background_weight(self.network, finding, said, self.rounds, frozenset())
            for finding, said in enumerate(self.said)
            if said and not self.bits[finding]
        ]
        return sum(log(weight) if weight > 0.0 else -inf for weight in (*idle, *quiet))

    def plan(self, causes: Sequence[int], last: frozenset[int] = frozenset(), widest: int = WIDEST) -> Plan:
        """Lay out a sweep of `causes`, those in `last` at its end. Raises TooWideError."""
        reach = tuple(sum(1 << finding for finding in self.tables[cause].reach) for cause in causes)
        late = frozenset(place for place, cause in enumerate(causes) if cause in last)
        order = [causes[place] for place in in_good_order(reach, late)]
        masks, threads = [one.masks for one in self.tables], [one.threads for one in self.tables]
        return make_plan(order, masks, threads, self.bits, self.touching, widest)

    def closing(
        self, finding: int | None, bits: Ints, *, absent_now: bool = False, listed_only: bool = False
    ) -> Floats:
        """Weigh the finding's background for each of the sub-sets `bits` of its bits that causes explain.

        `listed_only` counts a plain yes that is its latest answer only where a cause explains it.
        """
        if finding is None:
            return np.ones(len(bits))
        key = finding, bits.tobytes(), absent_now, listed_only
        if key not in self._closings:
            self._closings[key] = self._closing(finding, bits, absent_now, listed_only)
        return self._closings[key]

    @cached_property
    def _closings(self) -> dict[tuple[int, bytes, bool, bool], Floats]:
        """What was weighed: each finding is closed several times over."""
        return {}

    def _closing(self, finding: int, bits: Ints, absent_now: bool, listed_only: bool) -> Floats:  # noqa: FBT001 - named where it is called
        said = self.said[finding]
        must = frozenset({said[-1].round}) if listed_only and said and said[-1].is_yes else frozenset()
        return np.array(
            [
                background_weight(
                    self.network,
                    finding,
                    said,
                    self.rounds,
                    frozenset(
                        one.round for one in said if one.shows and self.bit_of[finding, one.round] & held
                    ),
                    absent_now=absent_now,
                    must_cover=must,
                )
                for held in bits.tolist()
            ]
        )


def ground_of(
    network: Network, said: tuple[tuple[Said, ...], ...], case: Case, like: Ground | None = None
) -> Ground:
    """Lay out `case`. Raises TooWideError when it holds more answers than can be told apart at once.

    Of a ground that is much `like` it, of the same network and gaps, the tables that stay are kept.
    """
    bit_of: dict[tuple[int, int], int] = {}
    bits = [0] * len(network.findings)
    for finding, told in enumerate(said):
        for one in told:
            if one.shows > 0.0:
                bit = 1 << len(bit_of)
                bit_of[finding, one.round] = bit
                bits[finding] |= bit
    if len(bit_of) > MOST_BITS:
        raise TooWideError(len(bit_of))
    if like is not None and like.bit_of == bit_of:
        changes, tables = like.changes, list(like.tables)
        spoken_of = [finding for finding, one in enumerate(said) if one is not like.said[finding]]
    else:
        changes = tuple(zip(*changes_of(network, case), strict=True)) or ((),) * len(network.links)
        tables = [_untold_table(*pair) for pair in zip(network.prior, changes, strict=True)]
        spoken_of = [finding for finding, one in enumerate(said) if one]
    for cause in {cause for finding in spoken_of for cause in network.touching[finding]}:
        tables[cause] = _cause_table(network, cause, changes[cause], said, bit_of)
    return Ground(network, said, len(case.rounds), bit_of, tuple(bits), tuple(tables), changes)


@lru_cache(maxsize=4096)
def _untold_table(prior: float, changes: tuple[tuple[float, float], ...]) -> CauseTable:
    """Give the table of a cause of which nothing was said."""
    heard = silence(len(changes) + 1)
    lines = lifelines_of(prior, changes, heard)
    nothing = np.zeros(1, dtype=np.int64)
    return CauseTable(heard, lines, ((),) * len(lines), nothing, np.array([[line.weight] for line in lines]))


def _cause_table(
    network: Network,
    cause: int,
    changes: tuple[tuple[float, float], ...],
    said: tuple[tuple[Said, ...], ...],
    bit_of: dict[tuple[int, int], int],
) -> CauseTable:
    links = tuple(link for link in network.links[cause] if said[link[0]])
    if not links:
        return _untold_table(network.prior[cause], changes)
    heard = heard_of(links, said, bit_of, len(changes) + 1)
    lines = lifelines_of(network.prior[cause], changes, heard)
    # Lines that differ only in how they end see the same.
    seen = {line.seen: views_of(line.seen, links, heard) for line in lines}
    views = tuple(seen[line.seen] for line in lines)
    reach = frozenset(view.finding for told in seen.values() for view in told if view.mask)
    if sum(1 << sum(link.mask > 0 for link in told) for told in seen.values()) > MOST_LISTED:
        return _wide_table(heard, lines, views, reach)
    explained = {one: explain_sets(1.0, told) for one, told in seen.items()}
    masks = sorted({mask for found in explained.values() for mask in found})
    weights = [[line.weight * explained[line.seen].get(mask, 0.0) for mask in masks] for line in lines]
    return CauseTable(heard, lines, views, np.array(masks, dtype=np.int64), np.array(weights), reach)


def _wide_table(
    heard: Heard,
    lines: tuple[LifeLine, ...],
    views: tuple[tuple[LinkView, ...], ...],
    reach: frozenset[int],
) -> CauseTable:
    threads = [
        Thread(
            links[0].finding,
            tuple(link.mask for link in links),
            tuple(0.0 if link.killed else link.strength for link in links),
            tuple(1.0 - link.strength for link in links),
        )
        for links in zip(*views, strict=True)
    ]
    masks = np.arange(len(lines), dtype=np.int64) << LINE_BIT
    weights = np.diag([line.weight for line in lines])
    return CauseTable(heard, lines, views, masks, weights, reach, tuple(threads))


def explain_sets(weight: float, views: Iterable[LinkView]) -> dict[int, float]:
    """Share `weight` among the sets of bits that links, each on or off, can explain together."""
    found = {0: weight}
    for view in views:
        if view.killed:
            found = {mask: share * (1.0 - view.strength) for mask, share in found.items()}
        elif view.mask:
            grown: dict[int, float] = {}
            for mask, share in found.items():
                grown[mask] = grown.get(mask, 0.0) + share * (1.0 - view.strength)
                joined = mask | view.mask
                grown[joined] = grown.get(joined, 0.0) + share * view.strength
            found = grown
    return found
