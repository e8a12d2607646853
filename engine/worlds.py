"""Belief as one whole table over causes, uncertain links and backgrounds: for small rulesets only.

A row is a set of causes that are present, a column a set of links and backgrounds that are on. Nothing
is left out, so every question about now has a plain answer: add up the cells where it is so.
(`engine.sweep` gives the same numbers without ever writing the table down.)
"""

from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray

from engine.case import Case
from engine.findings import evidence_of
from engine.network import RELAPSE, Effects, Network, change_of, network_of
from engine.sweep import Floats
from kb.ids import CauseId, FindingId, RemedyId
from kb.model import Ruleset

MOST_BITS: Final = 12
"""Causes, uncertain links and backgrounds together: 4,096 cells."""
MOST_CAUSES: Final = 8

Flags = NDArray[np.bool_]


@dataclass(frozen=True)
class Worlds:
    """The table's layout for one ruleset."""

    ruleset: Ruleset

    @cached_property
    def network(self) -> Network:
        """The chances by number."""
        return network_of(self.ruleset)

    @cached_property
    def uncertain(self) -> tuple[tuple[int | None, int, float], ...]:
        """The columns' bits: (cause or None for a background, finding, chance), the lowest first."""
        links = [
            (cause, finding, strength)
            for cause, shown in enumerate(self.network.links)
            for finding, strength in shown
            if strength < 1.0
        ]
        leaks = [(None, finding, leak) for finding, leak in enumerate(self.network.leak) if leak > 0.0]
        return (*links, *leaks)

    @property
    def is_small(self) -> bool:
        """Whether the table is within budget."""
        causes = len(self.network.causes)
        return causes <= MOST_CAUSES and causes + len(self.uncertain) <= MOST_BITS

    @cached_property
    def shows(self) -> dict[FindingId, Flags]:
        """For each finding the cells in which it shows."""
        rows = np.arange(1 << len(self.network.causes))[:, None]
        columns = np.arange(1 << len(self.uncertain))[None, :]
        found = [np.zeros((len(rows), columns.shape[1]), dtype=bool) for _ in self.network.findings]
        for cause, shown in enumerate(self.network.links):
            for finding, strength in shown:
                if strength >= 1.0:
                    found[finding] |= (rows >> cause & 1) == 1
        for bit, (source, finding, _) in enumerate(self.uncertain):
            is_on = (columns >> bit & 1) == 1
            found[finding] |= is_on if source is None else is_on & ((rows >> source & 1) == 1)
        return dict(zip(self.network.findings, found, strict=True))

    def present(self, cause: CauseId) -> Flags:
        """Give the rows in which a cause is present."""
        rows = np.arange(1 << len(self.network.causes))
        return np.asarray((rows >> self.network.causes.index(cause) & 1) == 1)

    def believed(self, case: Case) -> Floats:
        """Give the table of a case, adding up to 1 (to 0 where it is impossible)."""
        table = np.outer(
            _independent(self.network.prior), _independent([chance for _, _, chance in self.uncertain])
        )
        said = evidence_of(self.ruleset, self.network, case)
        for number, one in enumerate(case.rounds):
            for finding, told in zip(self.network.findings, said, strict=True):
                for weight in told:
                    if weight.round == number:
                        table = table * np.where(self.shows[finding], weight.shows, weight.clear)
            if one.gap is not None:
                table = self.moved(table, one.gap.operation, new_sitting=one.gap.new_sitting)
                table = self._backgrounds_moved(table)
        total = float(table.sum())
        return np.asarray(table / total if total > 0.0 else table)

    def moved(self, table: Floats, operation: RemedyId | None, *, new_sitting: bool) -> Floats:
        """Give the table after an operation, backgrounds staying as they are."""
        effects: Effects | None = None if operation is None else self.network.effect_of(operation)
        for cause in range(len(self.network.causes)):
            going, coming = change_of(self.network, cause, effects, new_sitting=new_sitting)
            if going > 0.0 or coming > 0.0:
                table = _mixed(table, cause, going, coming)
        return table

    def _backgrounds_moved(self, table: Floats) -> Floats:
        """Let backgrounds come and go, as they do in a gap."""
        turned = table.T
        for bit, (cause, _, leak) in enumerate(self.uncertain):
            if cause is None:
                turned = _mixed(turned, bit, RELAPSE, RELAPSE * leak / (1.0 - leak))
        return turned.T


def _independent(chances: list[float] | tuple[float, ...]) -> Floats:
    table = np.ones(1)
    for chance in chances:
        table = np.concatenate([table * (1.0 - chance), table * chance])
    return table


def _mixed(table: Floats, bit: int, going: float, coming: float) -> Floats:
    """Let one bit of the rows go with one chance and come with another."""
    split = table.reshape(-1, 2, 1 << bit, table.shape[1])
    absent, present = split[:, 0], split[:, 1]
    mixed = np.stack(
        [absent * (1.0 - coming) + present * going, absent * coming + present * (1.0 - going)], axis=1
    )
    return mixed.reshape(table.shape)
