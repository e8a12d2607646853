"""Counting on reeds in several processes. The engine counts; here is only who counts which reed.

Apart from the command because what runs in another process has to be importable by name.
"""

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import Final

from engine.network import Network
from engine.tuning.chances import Chances
from engine.tuning.counting import ReedCounts, Told, counts_of
from engine.tuning.fitting import Counter
from tui.processes import started

AT_ONCE: Final = 16
"""Reeds in one portion: enough to be worth sending, few enough for progress to be seen."""
WORTH_A_PROCESS: Final = 60
"""Reeds below which starting other processes takes longer than it saves."""

_Given = tuple[Chances, tuple[Told, ...]]
_own: Final[list[_Given]] = []
"""In a process that counts: what it counts on."""


@contextmanager
def counting(
    chances: Chances, reeds: Sequence[Told], processes: int, told: Callable[[int, int], None]
) -> Iterator[Counter]:
    """Give who counts on these reeds by their numbers; `told` hears how many of how many are done."""
    if processes == 1 or len(reeds) < WORTH_A_PROCESS:
        yield lambda network, numbers: _here(chances, reeds, network, numbers, told)
        return
    with started(processes, _begin, (chances, tuple(reeds))) as pool:

        def count(network: Network, numbers: Sequence[int]) -> list[ReedCounts]:
            portions = [
                pool.submit(_portion, network, tuple(numbers[first : first + AT_ONCE]))
                for first in range(0, len(numbers), AT_ONCE)
            ]
            found: list[ReedCounts] = []
            for portion in portions:
                found += portion.result()
                told(len(found), len(numbers))
            return found

        yield count


def _here(
    chances: Chances,
    reeds: Sequence[Told],
    network: Network,
    numbers: Sequence[int],
    told: Callable[[int, int], None],
) -> list[ReedCounts]:
    found = []
    for number in numbers:
        found.append(counts_of(chances, network, reeds[number]))
        told(len(found), len(numbers))
    return found


def _begin(given: _Given) -> None:
    _own.append(given)


def _portion(network: Network, numbers: tuple[int, ...]) -> list[ReedCounts]:
    chances, reeds = _own[0]
    return [counts_of(chances, network, reeds[number]) for number in numbers]
