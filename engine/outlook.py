"""What may show now: exact chances for findings that were not answered in the present round."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from math import exp, inf

import numpy as np

from engine.findings import Said
from engine.folding import Folded
from engine.futures import Changes, Futures, Rows
from engine.ground import Ground, ground_of
from engine.posterior import log_evidence_of
from engine.sweep import Floats

AT_ONCE = 32
"""Findings watched together, each looked at once."""


@dataclass(frozen=True)
class Outlook:
    """Chances that findings show now, by number."""

    folded: Folded

    def any_shows(self, findings: Sequence[int]) -> float:
        """Give the chance that at least one of `findings` shows now."""
        if not findings:
            return 0.0
        none = _with_no(self.folded.ground, self.folded, findings)
        left = log_evidence_of(none, none.plan(none.busy))
        return 1.0 if left == -inf else max(0.0, 1.0 - exp(left - self._whole))

    @cached_property
    def _whole(self) -> float:
        return log_evidence_of(self.folded.ground, self.folded.plan)

    def each_shows(self, findings: Sequence[int]) -> tuple[float, ...]:
        """Give for each of `findings` the chance that it shows now, its background staying as it is."""
        if any(table.threads for table in self.folded.ground.tables):
            return tuple(self.any_shows([finding]) for finding in findings)
        chances: list[float] = []
        none = np.zeros((1, len(self.folded.ground.network.causes)))
        for first in range(0, len(findings), AT_ONCE):
            part = tuple(findings[first : first + AT_ONCE])
            futures = Futures(self.folded.ground, part, Changes(none, none))
            clear = (1 << np.arange(len(part), dtype=np.int64))[:, None]
            seen: Floats = futures.chances(Rows(np.zeros((len(part), 0), dtype=np.int64), clear))
            chances += [max(0.0, 1.0 - float(chance)) for chance in seen]
        return tuple(chances)


def _with_no(ground: Ground, folded: Folded, findings: Sequence[int]) -> Ground:
    """Lay out the case with `findings` not showing now; what was answered now keeps what it says for that."""
    now = ground.rounds - 1
    said = list(ground.said)
    for finding in findings:
        clear = next((one.clear for one in said[finding] if one.round == now), 1.0)
        said[finding] = (
            *(one for one in said[finding] if one.round != now),
            Said(now, 0.0, clear, is_yes=False),
        )
    return ground_of(ground.network, tuple(said), folded.case, like=ground)
