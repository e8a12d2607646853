"""Which of the leading causes go together, and which stand in for each other: chances of pairs.

Causes are independent before anything is known; answers tie them. Two that explain the same answer
crowd each other out (explaining away: J. Pearl, Probabilistic Reasoning in Intelligent Systems,
1988, from memory). A pair's chance is exact: one more sweep in which only those life lines of the
one are kept on which it is there now.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from engine.case import Case
from engine.folding import Folded, fold_until_narrow
from engine.ground import Ground
from engine.posterior import posterior_of
from engine.sweep import Floats
from kb.ids import CauseId
from kb.model import Ruleset

MUCH = 1.5
"""Times likelier or less likely together than apart, from which it is worth saying."""


@dataclass(frozen=True, slots=True)
class Pair:
    """Two causes and the chance that both are there now."""

    one: CauseId
    other: CauseId
    both: float
    apart: float
    """What `both` would be if the answers did not tie them: the product of their chances."""

    @property
    def is_either(self) -> bool:
        """Whether they stand in for each other: rather the one or the other than both."""
        return self.both * MUCH < self.apart

    @property
    def goes_together(self) -> bool:
        """Whether the one makes the other likelier."""
        return self.both > self.apart * MUCH


def pairs(ruleset: Ruleset, case: Case, among: Sequence[CauseId]) -> tuple[Pair, ...]:
    """Give the chance of each pair of causes `among`, likeliest first. One sweep for each but the last.

    Raises TooWideError like `believe`, and KeyError for a cause that the ruleset lacks. Nothing for a
    case whose answers cannot all be true.
    """
    folded = fold_until_narrow(ruleset, case)
    place = {id_: number for number, id_ in enumerate(folded.ground.network.causes)}
    numbers = {id_: place[id_] for id_ in among}
    now = posterior_of(folded.ground, folded.plan)
    if not np.isfinite(now.log_evidence):
        return ()
    chance = now.presence[-1]
    found = []
    beside = {one: _beside(folded, number) for one, number in numbers.items()}
    for one, other in combinations(sorted(numbers), 2):
        both = float(chance[numbers[one]] * beside[one][numbers[other]])
        found.append(Pair(one, other, both, float(chance[numbers[one]] * chance[numbers[other]])))
    return tuple(sorted(found, key=lambda pair: (-pair.both, pair.one, pair.other)))


def _beside(folded: Folded, cause: int) -> Floats:
    """Give the chance of every cause now, `cause` being there."""
    ground = _with(folded.ground, cause)
    posterior = posterior_of(ground, folded.plan)
    if not np.isfinite(posterior.log_evidence):
        return np.zeros(len(ground.tables))
    return np.asarray(posterior.presence[-1])


def _with(ground: Ground, cause: int) -> Ground:
    """Keep of `cause` only the life lines on which it is there now."""
    table = ground.tables[cause]
    here = np.array([line.ends_present for line in table.lines], dtype=float)
    kept = replace(table, weights=table.weights * here[:, None])
    return replace(ground, tables=(*ground.tables[:cause], kept, *ground.tables[cause + 1 :]))
