"""A ruleset as numbers: the two-level noisy-OR network over causes and findings.

Causes, findings and operations are counted from 0 in the order of their ids, never of the file,
so that nothing that follows can depend on how an author arranged the text.
(Noisy-OR: J. Pearl, Probabilistic Reasoning in Intelligent Systems, 1988, section 4.3, from memory.)
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING

from kb.ids import CauseId, FindingId, RemedyId
from kb.model import Remedy, Ruleset

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

RELAPSE = 0.2
"""Share of its long-run odds with which a cause comes back, and a background goes, in a gap."""


@dataclass(frozen=True)
class Network:
    """Chances by number. Folding old rounds (`engine.folding`) yields another Network, a reed's own."""

    causes: tuple[CauseId, ...]
    findings: tuple[FindingId, ...]
    prior: tuple[float, ...]
    """Chance of each cause in the first round."""
    relapse: tuple[float, ...]
    """Chance that each cause comes by itself in a gap that opens a sitting."""
    links: tuple[tuple[tuple[int, float], ...], ...]
    """For each cause its links: (finding, strength), by finding."""
    background: tuple[float, ...]
    """Chance of each finding's background in the first round."""
    leak: tuple[float, ...]
    """Long-run share of each finding's background."""
    effects: tuple[tuple[RemedyId, "Effects"], ...]
    """What each operation does, by id."""

    @cached_property
    def strengths(self) -> "NDArray[np.float64]":
        """The strength of each link, (findings, causes); 0 where there is none."""
        import numpy as np  # noqa: PLC0415 - drawing a reed needs no tables

        strengths = np.zeros((len(self.findings), len(self.causes)))
        for cause, links in enumerate(self.links):
            for finding, strength in links:
                strengths[finding, cause] = strength
        return strengths

    @cached_property
    def number_of(self) -> Mapping[FindingId, int]:
        """The number of each finding."""
        return {finding: number for number, finding in enumerate(self.findings)}

    def numbers(self, findings: Iterable[FindingId]) -> list[int]:
        """Give the numbers of findings. Raises KeyError for an unknown one."""
        return [self.number_of[finding] for finding in findings]

    def effect_of(self, operation: RemedyId) -> "Effects":
        """Give what `operation` does. Raises KeyError for an unknown one."""
        for known, effects in self.effects:
            if known == operation:
                return effects
        raise KeyError(operation)

    @cached_property
    def touching(self) -> tuple[tuple[int, ...], ...]:
        """For each finding the causes that show it."""
        found: list[list[int]] = [[] for _ in self.findings]
        for cause, links in enumerate(self.links):
            for finding, _ in links:
                found[finding].append(cause)
        return tuple(tuple(causes) for causes in found)


@dataclass(frozen=True, slots=True)
class Effects:
    """Chances by cause: what an operation cures and provokes."""

    cures: tuple[tuple[int, float], ...]
    provokes: tuple[tuple[int, float], ...]
    is_rest: bool


def network_of(ruleset: Ruleset) -> Network:
    """Collect a ruleset's chances, its entries numbered by id. Remembered for the last few rulesets."""
    return _network_of(_Same(ruleset))


@dataclass(frozen=True, slots=True, eq=False)
class _Same:
    """A ruleset that equals itself only: comparing all that it says would take as long as collecting it."""

    ruleset: Ruleset

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and other.ruleset is self.ruleset

    def __hash__(self) -> int:
        return id(self.ruleset)


@lru_cache(maxsize=8)
def _network_of(same: _Same) -> Network:
    ruleset = same.ruleset
    causes = tuple(sorted(ruleset.causes, key=lambda cause: cause.id))
    findings = tuple(sorted(ruleset.findings, key=lambda finding: finding.id))
    cause_number = {cause.id: number for number, cause in enumerate(causes)}
    finding_number = {finding.id: number for number, finding in enumerate(findings)}

    def effects(operation: Remedy) -> Effects:
        return Effects(
            tuple(sorted((cause_number[one.cause], one.chance) for one in operation.cures)),
            tuple(sorted((cause_number[one.cause], one.chance) for one in operation.provokes)),
            operation.is_rest,
        )

    return Network(
        causes=tuple(cause.id for cause in causes),
        findings=tuple(finding.id for finding in findings),
        prior=tuple(cause.how_common for cause in causes),
        relapse=tuple(RELAPSE * cause.how_common / (1.0 - cause.how_common) for cause in causes),
        links=tuple(
            tuple(sorted((finding_number[show.finding], show.strength) for show in cause.shows))
            for cause in causes
        ),
        background=tuple(finding.leak for finding in findings),
        leak=tuple(finding.leak for finding in findings),
        effects=tuple(
            (operation.id, effects(operation))
            for operation in sorted(ruleset.operations, key=lambda op: op.id)
        ),
    )


def changes_in(
    network: Network, effects: Effects | None, *, new_sitting: bool
) -> tuple[tuple[float, float], ...]:
    """Give for each cause the chances that a gap takes it away, and that it brings it."""
    changes = [(0.0, relapse if new_sitting else 0.0) for relapse in network.relapse]
    for cause, _ in (*effects.cures, *effects.provokes) if effects is not None else ():
        changes[cause] = change_of(network, cause, effects, new_sitting=new_sitting)
    return tuple(changes)


def change_of(
    network: Network, cause: int, effects: Effects | None, *, new_sitting: bool
) -> tuple[float, float]:
    """Give the chances that a gap takes `cause` away, and that it brings it.

    A gap that opens a sitting brings back every cause with its relapse chance, unless a rest
    states its own. A remedy's provocation and the night's relapse are independent.
    """
    cures = provokes = 0.0
    stated = False
    if effects is not None:
        cures = next((chance for number, chance in effects.cures if number == cause), 0.0)
        for number, chance in effects.provokes:
            if number == cause:
                provokes, stated = chance, effects.is_rest
    if new_sitting and not stated:
        provokes = 1.0 - (1.0 - provokes) * (1.0 - network.relapse[cause])
    return cures, provokes
