"""The chances that can be tuned, numbered: how common, how strongly it shows, how well it is cured.

Leaks and what a remedy provokes stay as their author wrote them: a leak stands for causes that nobody
listed, so it would swallow whatever the ruleset explains badly; and a provocation is read off the few
reeds on which something was spoilt.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cached_property
from typing import Final

import numpy as np

from engine.network import RELAPSE, Network
from engine.sweep import Floats
from kb.ids import CauseId, FindingId, RemedyId

LEAST: Final = 0.001
MOST_COMMON: Final = 0.5
"""The greatest `how_common` that a ruleset may state."""


class Kind(StrEnum):
    """What a chance is about, by the key under which a ruleset states it."""

    HOW_COMMON = "how_common"
    SHOWS = "shows"
    CURES = "cures"


@dataclass(frozen=True, slots=True)
class Slot:
    """One chance that a ruleset states."""

    kind: Kind
    cause: CauseId
    finding: FindingId | None = None
    """Of SHOWS."""
    operation: RemedyId | None = None
    """Of CURES."""


@dataclass(frozen=True)
class Chances:
    """All chances of one network that can be tuned, in one order: causes, then links, then cures.

    After them come, in what is counted and nowhere else, the causes once more: how often each came back
    in a night, which is governed by how common it is.
    """

    network: Network

    @cached_property
    def slots(self) -> tuple[Slot, ...]:
        """What each number stands for."""
        network = self.network
        common = (Slot(Kind.HOW_COMMON, cause) for cause in network.causes)
        links = (
            Slot(Kind.SHOWS, cause, finding=network.findings[finding])
            for cause, shown in zip(network.causes, network.links, strict=True)
            for finding, _ in shown
        )
        cures = (
            Slot(Kind.CURES, network.causes[cause], operation=operation)
            for operation, effects in network.effects
            for cause, _ in effects.cures
        )
        return (*common, *links, *cures)

    @cached_property
    def link_from(self) -> tuple[int, ...]:
        """For each cause the number of its first link."""
        before = len(self.network.causes)
        starts = []
        for links in self.network.links:
            starts.append(before)
            before += len(links)
        return tuple(starts)

    @cached_property
    def cure(self) -> Mapping[tuple[RemedyId, int], int]:
        """The number of each cure, by operation and cause."""
        number = len(self.network.causes) + sum(map(len, self.network.links))
        found = {}
        for operation, effects in self.network.effects:
            for cause, _ in effects.cures:
                found[operation, cause] = number
                number += 1
        return found

    def night(self, cause: int) -> int:
        """Give the number under which a cause's coming back is counted."""
        return len(self.slots) + cause

    @cached_property
    def stated(self) -> Floats:
        """The chances that the network has."""
        cures = (chance for _, effects in self.network.effects for _, chance in effects.cures)
        links = (strength for shown in self.network.links for _, strength in shown)
        return np.array([*self.network.prior, *links, *cures])

    @cached_property
    def ceiling(self) -> Floats:
        """The greatest value that each may take."""
        most = np.ones(len(self.slots))
        most[: len(self.network.causes)] = MOST_COMMON
        return most

    def network_with(self, values: Floats) -> Network:
        """Give the network with other chances."""
        numbers = iter(values.tolist())
        prior = tuple(next(numbers) for _ in self.network.causes)
        links = tuple(tuple((finding, next(numbers)) for finding, _ in shown) for shown in self.network.links)
        effects = tuple(
            (operation, replace(one, cures=tuple((cause, next(numbers)) for cause, _ in one.cures)))
            for operation, one in self.network.effects
        )
        relapse = tuple(RELAPSE * chance / (1.0 - chance) for chance in prior)
        return replace(self.network, prior=prior, relapse=relapse, links=links, effects=effects)
