"""One round: the sums of `engine.sweep` where every cause is there or not and every finding is one bit.

Then the sets of explained findings are the places of a plain array, with an axis of two for each open
finding, and a link is a few multiplications along its axis. Causes that touch a single finding that
was said to show need no step at all: together they are one more reason for it. Beliefs of a first
sitting are mostly of this kind, and all lone cases of a review.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, log

import numpy as np

from engine.findings import Said
from engine.network import Network
from engine.refusal import TooWideError
from engine.sweep import SMALL, Floats, Ints, in_good_order


@dataclass(frozen=True, slots=True)
class OneRound:
    """What one round says."""

    log_evidence: float
    unlisted: float
    presence: Floats
    """For each cause the chance that it is there."""


def one_round(network: Network, said: Sequence[tuple[Said, ...]], widest: int) -> OneRound:
    """Weigh a case of one round in which every cause has a prior below 1. Raises TooWideError."""
    prior = np.array(network.prior)
    quiet = [finding for finding, told in enumerate(said) if told and told[0].shows == 0.0]
    silent = prior * (1.0 - network.strengths[quiet]).prod(axis=0)
    whole = 1.0 - prior + silent
    heard = _heard(network, said, silent / whole)
    weights, scale, steps = _forward(heard, widest)
    if not weights[0] > 0.0:
        return OneRound(-inf, 0.0, np.zeros(len(prior)))
    constant = [(1.0 - network.background[finding]) * said[finding][0].clear for finding in quiet]
    return OneRound(
        log(weights[0]) + scale + float(np.log(whole).sum()) + sum(map(log, constant)),
        max(0.0, 1.0 - float(weights[1] / weights[0])),
        _backward(heard, steps),
    )


@dataclass(frozen=True, slots=True)
class _Heard:
    """The findings that were said to show, by bit, and the causes, with every answer no folded in."""

    chance: Floats
    """Of each cause."""
    strength: Floats
    """(bits, causes); 0 where there is no link."""
    shared: Ints
    """The causes that touch more than one of the findings."""
    private: Ints
    """Those that touch one."""
    dark: Floats
    """(bits, private causes): log chance that the cause does not explain the finding."""
    explained: Floats
    """(bits): weight of the finding where a cause explains it."""
    bare: Floats
    """(2, bits): weight where none does; in the second row a plain yes wants a cause."""
    closing: Floats
    """(2, bits): weight where no shared cause explains it."""


def _heard(network: Network, said: Sequence[tuple[Said, ...]], chance: Floats) -> _Heard:
    findings = [finding for finding, told in enumerate(said) if told and told[0].shows > 0.0]
    strength = network.strengths[findings]
    touched = (strength > 0.0).sum(axis=0)
    private = np.flatnonzero(touched == 1)
    dark = np.log1p(-strength[:, private] * chance[private])
    told = [said[finding][0] for finding in findings]
    leak = np.array([network.background[finding] for finding in findings])
    shows, clear = np.array([one.shows for one in told]), np.array([one.clear for one in told])
    by_background = leak * shows * np.array([[1.0] * len(told), [not one.is_yes for one in told]])
    bare = by_background + (1.0 - leak) * clear
    none = dark.sum(axis=1)
    closing = np.exp(none) * bare - np.expm1(none) * shows
    return _Heard(chance, strength, np.flatnonzero(touched > 1), private, dark, shows, bare, closing)


@dataclass(frozen=True, slots=True)
class _Swept:
    """A shared cause was swept."""

    cause: int
    links: tuple[tuple[int, float], ...]
    """For each link how far apart its finding's two places lie, and its strength."""
    opened: int
    """How many findings were opened for it."""
    before: Floats
    """The table when they were open."""


@dataclass(frozen=True, slots=True)
class _Closed:
    """A finding was closed, whose two places lie `apart`."""

    bit: int
    apart: int
    before: Floats


def _forward(heard: _Heard, widest: int) -> tuple[Floats, float, list[_Swept | _Closed]]:
    """Sweep the shared causes. Give the weight of everything for both rows of `bare`, and its log scale."""
    links = heard.strength[:, heard.shared].T
    reach = [np.flatnonzero(of_cause).tolist() for of_cause in links]
    order = in_good_order(tuple(sum(1 << bit for bit in bits) for bits in reach))
    last = {bit: place for place in order for bit in reach[place]}
    steps: list[_Swept | _Closed] = []
    is_open: list[int] = []
    table, scale = np.ones((2, 1)), 0.0
    for place in order:
        opened = [bit for bit in reach[place] if bit not in is_open]
        is_open += opened
        if 1 << len(is_open) > widest:
            raise TooWideError(1 << len(is_open))
        grown = np.zeros((*table.shape, 1 << len(opened)))
        grown[:, :, 0] = table
        table = grown.reshape(2, -1)
        of_cause = tuple(
            (1 << (len(is_open) - 1 - is_open.index(bit)), float(links[place, bit])) for bit in reach[place]
        )
        cause = int(heard.shared[place])
        steps.append(_Swept(cause, of_cause, len(opened), table[0]))
        chance = heard.chance[cause]
        lit = table * chance
        for apart, strength in of_cause:
            halves = lit.reshape(-1, 2, apart)
            off, on = halves[:, 0], halves[:, 1]
            on += strength * off
            off *= 1.0 - strength
        table = (1.0 - chance) * table + lit
        for bit in reach[place]:
            if last[bit] == place:
                apart = 1 << (len(is_open) - 1 - is_open.index(bit))
                halves = table.reshape(2, -1, 2, apart)
                steps.append(_Closed(bit, apart, halves[0]))
                closed = heard.closing[:, bit, None, None] * halves[:, :, 0]
                table = (closed + heard.explained[bit] * halves[:, :, 1]).reshape(2, -1)
                is_open.remove(bit)
                table, scale = _scaled(table, scale)
    for bit in range(len(heard.explained)):
        if bit not in last:
            table, scale = _scaled(table * heard.closing[:, bit, None], scale)
    return table[:, 0], scale, steps


def _scaled(table: Floats, scale: float) -> tuple[Floats, float]:
    greatest = float(table.max())
    return (table / greatest, scale + log(greatest)) if 0.0 < greatest < SMALL else (table, scale)


def _backward(heard: _Heard, steps: Sequence[_Swept | _Closed]) -> Floats:
    """Sweep back. Give the chance of each cause."""
    presence = heard.chance.copy()
    # For each finding the weight of all else where no shared cause explains it, and where one does.
    unmet, met = np.ones(len(heard.explained)), np.zeros(len(heard.explained))
    table = np.ones(1)
    for step in reversed(steps):
        if isinstance(step, _Closed):
            after = table.reshape(-1, step.apart)
            unmet[step.bit], met[step.bit] = np.einsum("ahb,ab->h", step.before, after)
            both = (heard.closing[0, step.bit] * after, heard.explained[step.bit] * after)
            table, _ = _scaled(np.stack(both, axis=1).reshape(-1), 0.0)
            continue
        chance = heard.chance[step.cause]
        lit = table * chance
        for apart, strength in step.links:
            halves = lit.reshape(-1, 2, apart)
            off, on = halves[:, 0], halves[:, 1]
            off *= 1.0 - strength
            off += strength * on
        away = (1.0 - chance) * table
        there = step.before @ lit
        presence[step.cause] = there / (there + step.before @ away)
        table = (away + lit).reshape(-1, 1 << step.opened)[:, 0]
    if len(heard.private):
        presence[heard.private] = _of_private(heard, unmet, met)
    return presence


def _of_private(heard: _Heard, unmet: Floats, met: Floats) -> Floats:
    """Give the chance of each private cause."""
    count = np.arange(len(heard.private))
    bit = heard.strength[:, heard.private].argmax(axis=0)
    chance, strength = heard.chance[heard.private], heard.strength[bit, heard.private]
    # What the others leave unexplained, summed from both sides: nothing is taken away.
    before = np.cumsum(heard.dark[:, :-1], axis=1)[bit[1:], count[:-1]]
    after = np.cumsum(heard.dark[:, :0:-1], axis=1)[:, ::-1][bit[:-1], count[:-1]]
    others = np.append(0.0, before) + np.append(after, 0.0)
    explained, bare = heard.explained[bit], heard.bare[0, bit]
    rest = met[bit] * explained + unmet[bit] * (np.exp(others) * bare - np.expm1(others) * explained)
    lit = (met[bit] + unmet[bit]) * explained
    there = chance * (strength * lit + (1.0 - strength) * rest)
    return np.asarray(there / (there + (1.0 - chance) * rest))
