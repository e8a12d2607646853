"""Life lines: the ways in which one cause may have come and gone over the rounds of a case.

A cause that k gaps touch has at most 2^(k+1) of them. Those that make the same of what was said, and
end alike, are merged as they are built: what differs between them no later step can see.
"""

from dataclasses import dataclass
from functools import lru_cache
from typing import Final, NamedTuple

from engine.case import Case
from engine.findings import Said
from engine.network import RELAPSE, Network, changes_in
from engine.refusal import TooWideError

MOST_LINES: Final = 1 << 11
"""Life lines of one cause at most: each more gap that touches it may double them, and its tables twice."""

Seen = tuple[int, int]
"""What a life line makes of what was said: the links that a no rules out, as bits by their place, and the
bits that the others explain if they are on."""
NOTHING: Final[Seen] = (0, 0)
Growing = dict[tuple[Seen, bool], tuple[float, list[float]]]
"""Life lines being built: (what they make of it, present now) to weight and weighted presence by round."""


@dataclass(frozen=True, slots=True)
class Heard:
    """What was said of all that one cause shows."""

    links: tuple[int, ...]
    """For each link about whose finding anything was said, the finding's bits."""
    rounds: tuple[Seen, ...]
    """For each round what it says if the cause is there."""

    def seen(self, before: Seen, number: int) -> Seen:
        """Give what a life line makes of it all that is there in round `number` too.

        >>> Heard((0b11,), ((0, 0b1), (0b1, 0))).seen((0, 0b1), 1)
        (1, 0)
        """
        out, explained = self.rounds[number]
        if not out and not explained:
            return before
        out, explained = out | before[0], explained | before[1]
        for place, bits in enumerate(self.links):
            if out >> place & 1:
                explained &= ~bits
        return out, explained


@dataclass(frozen=True, slots=True)
class LifeLine:
    """A merged group of life lines of one cause."""

    weight: float
    """Chance of the group, before any evidence."""
    seen: Seen
    ends_present: bool
    presence: tuple[float, ...]
    """For each round, the chance within the group that the cause is present."""


def changes_of(network: Network, case: Case) -> tuple[tuple[tuple[float, float], ...], ...]:
    """Give for each gap of `case`, for each cause, the chances of going and of coming."""
    return tuple(change_between(network, case, number) for number in range(len(case.rounds) - 1))


def change_between(network: Network, case: Case, number: int) -> tuple[tuple[float, float], ...]:
    """Give for each cause the chances of going and coming in the gap that ends round `number`."""
    gap = case.rounds[number].gap
    if gap is None:
        raise ValueError(f"round {number} is not the last, and has no gap")
    effects = None if gap.operation is None else network.effect_of(gap.operation)
    return changes_in(network, effects, new_sitting=gap.new_sitting)


@lru_cache(maxsize=4096)
def lifelines_of(
    prior: float, changes: tuple[tuple[float, float], ...], heard: Heard
) -> tuple[LifeLine, ...]:
    """Build the merged life lines of a cause with this `prior` through gaps with these `changes`.

    Raises TooWideError when there would be more than `MOST_LINES`: then old rounds are folded.
    Remembered, since one step lays the same case out several times, with an answer more or less.

    >>> [(line.weight, line.ends_present) for line in lifelines_of(0.25, ((1.0, 0.0),), silence(2))]
    [(1.0, False)]
    """
    lines: Growing = {}
    _add(lines, (NOTHING, False), 1.0 - prior, [0.0])
    _add(lines, (heard.seen(NOTHING, 0), True), prior, [prior])
    for number, (going, coming) in enumerate(changes, start=1):
        grown: Growing = {}
        for (seen, present), (weight, presence) in lines.items():
            stays = 1.0 - going if present else coming
            # Mostly a gap does nothing to a cause: then each line goes on as it is.
            if stays in {0.0, 1.0}:
                presence.append(weight * stays)
                _add(grown, (heard.seen(seen, number), True) if stays else (seen, False), weight, presence)
                continue
            there = [*(value * stays for value in presence), weight * stays]
            away = [*(value * (1.0 - stays) for value in presence), 0.0]
            _add(grown, (heard.seen(seen, number), True), weight * stays, there)
            _add(grown, (seen, False), weight * (1.0 - stays), away)
        lines = grown
        if len(lines) > MOST_LINES:
            raise TooWideError(len(lines))
    return tuple(
        LifeLine(weight, seen, present, tuple(value / weight for value in presence))
        for (seen, present), (weight, presence) in lines.items()
    )


def silence(rounds: int) -> Heard:
    """Give what was heard where nothing was said."""
    return Heard((), (NOTHING,) * rounds)


def _add(into: Growing, key: tuple[Seen, bool], weight: float, presence: list[float]) -> None:
    if weight <= 0.0:
        return
    if key not in into:
        into[key] = (weight, presence)
        return
    known_weight, known = into[key]
    into[key] = (known_weight + weight, [one + other for one, other in zip(known, presence, strict=True)])


class LinkView(NamedTuple):
    """What one life line makes of one link's evidence. A tuple, since they are made by the thousand."""

    finding: int
    strength: float
    mask: int
    """Bits that the link explains when it is on."""
    killed: bool
    """Whether a no in a round where the cause is present rules the link out."""


def heard_of(
    links: tuple[tuple[int, float], ...],
    said: tuple[tuple[Said, ...], ...],
    bit_of: dict[tuple[int, int], int],
    rounds: int,
) -> Heard:
    """Collect what was said of the findings of `links`."""
    out, explained = [0] * rounds, [0] * rounds
    of_link = []
    for place, (finding, _) in enumerate(links):
        bits = 0
        for one in said[finding]:
            if one.shows == 0.0:
                out[one.round] |= 1 << place
            else:
                bits |= bit_of[finding, one.round]
                explained[one.round] |= bit_of[finding, one.round]
        of_link.append(bits)
    return Heard(tuple(of_link), tuple(zip(out, explained, strict=True)))


def views_of(seen: Seen, links: tuple[tuple[int, float], ...], heard: Heard) -> tuple[LinkView, ...]:
    """Give what a life line makes of each link about whose finding anything was said."""
    out, explained = seen
    return tuple(
        LinkView(finding, strength, explained & bits, bool(out >> place & 1))
        for place, ((finding, strength), bits) in enumerate(zip(links, heard.links, strict=True))
    )


def background_chance(network: Network, finding: int, chance: float) -> float:
    """Give the chance of a finding's background after a gap, from that before it."""
    going, coming = _background_change(network, finding)
    return chance * (1.0 - going) + (1.0 - chance) * coming


def _background_change(network: Network, finding: int) -> tuple[float, float]:
    leak = network.leak[finding]
    return RELAPSE, RELAPSE * leak / (1.0 - leak)


def background_weight(
    network: Network,
    finding: int,
    said: tuple[Said, ...],
    rounds: int,
    covered: frozenset[int],
    *,
    absent_now: bool = False,
    must_cover: frozenset[int] = frozenset(),
) -> float:
    """Weigh what was said of a finding, given the rounds in which causes explain it (`covered`).

    Sums over the background's own life (coming and going in each gap). `absent_now` keeps only
    lives in which it is absent in the present round; in rounds of `must_cover`
    only a cause may make it show.
    """
    going, coming = _background_change(network, finding)
    on, off = network.background[finding], 1.0 - network.background[finding]
    by_round = {one.round: one for one in said}
    for number in range(rounds):
        if number:
            on, off = on * (1.0 - going) + off * coming, off * (1.0 - coming) + on * going
        one = by_round.get(number)
        if one is None:
            continue
        if number in covered:
            on, off = on * one.shows, off * one.shows
        else:
            on, off = on * one.shows * (number not in must_cover), off * one.clear
    return off if absent_now else on + off
