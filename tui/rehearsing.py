"""Rehearsal in several processes. The engine plays; here is only who plays which reed.

Apart from the command because the full screen can use it too, and because what runs in another
process has to be importable by name.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from engine.playing import Policy
from engine.rehearse import Record, played, policy_called
from kb.model import Ruleset
from tui.processes import shared_out, told_to_stop
from tui.wiring import chance_of

AT_ONCE: Final = 8
"""Reeds in one portion: enough to be worth sending, few enough for progress to be seen."""


@dataclass(frozen=True, slots=True)
class _Cast:
    """What a process has to know before it can play a reed: under which rules, by whom, and which reeds."""

    ruleset: Ruleset
    names: tuple[str, ...]
    """Of the policies."""
    seed: int


_Players = tuple[_Cast, tuple[Policy, ...]]
_own: Final[list[_Players]] = []
"""In a process that plays: what it was told, and its players with what they remember."""


def rehearsed(
    ruleset: Ruleset, names: Sequence[str], reeds: int, seed: int, processes: int
) -> Iterator[Record]:
    """Play reeds 0 to `reeds` - 1, and give each when it is done, in no certain order."""
    if processes == 1 or reeds <= AT_ONCE:
        players = tuple(policy_called(ruleset, name) for name in names)
        yield from played(ruleset, players, range(reeds), lambda number: chance_of(seed, number))
        return
    portions = [range(first, min(first + AT_ONCE, reeds)) for first in range(0, reeds, AT_ONCE)]
    # The fresh copy holds no cached views, which cannot travel to another process.
    cast = _Cast(replace(ruleset), tuple(names), seed)
    yield from shared_out(_portion, portions, processes, _begin, cast)


def _begin(cast: _Cast) -> None:
    _own.append((cast, tuple(policy_called(cast.ruleset, name) for name in cast.names)))


def _portion(numbers: range) -> list[Record]:
    cast, players = _own[0]
    found = []
    for record in played(cast.ruleset, players, numbers, lambda number: chance_of(cast.seed, number)):
        found.append(record)
        if told_to_stop():
            break
    return found
