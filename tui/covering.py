"""Coverage in several processes. The engine judges each part; here is only who judges which.

Apart from the command because the full screen can use it too, and because what runs in another
process has to be importable by name.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

from engine.coverage.noticing import Roll
from engine.coverage.parts import Part
from engine.coverage.tally import Judged, judge
from kb.model import Ruleset
from tui.processes import shared_out, told_to_stop

AT_ONCE: Final = 6
"""Parts in one portion: enough to be worth sending, few enough for progress to be seen."""
WORTH_SENDING: Final = 400
"""Runs of a trial, at most, that are done here: starting other processes takes longer."""

_Work = tuple[Ruleset, Roll]
_own: Final[list[_Work]] = []
"""In a process that judges: ruleset and its trials."""


def judged(ruleset: Ruleset, roll: Roll, parts: Sequence[Part], processes: int) -> Iterator[Judged]:
    """Judge each part, and give it when it is done, in no certain order."""
    if processes == 1 or len(parts) * len(roll.watchers) <= WORTH_SENDING:
        yield from (judge(ruleset, roll, part) for part in parts)
        return
    portions = [tuple(parts[first : first + AT_ONCE]) for first in range(0, len(parts), AT_ONCE)]
    # The fresh copy holds no cached views, which cannot travel to another process.
    yield from shared_out(_portion, portions, processes, _begin, (replace(ruleset), roll))


def _begin(work: _Work) -> None:
    _own.append(work)


def _portion(parts: tuple[Part, ...]) -> list[Judged]:
    ruleset, roll = _own[0]
    found = []
    for part in parts:
        if told_to_stop():
            break
        found.append(judge(ruleset, roll, part))
    return found
