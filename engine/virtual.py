"""Virtual reeds: drawn from the model, and living by it.

A reed has hidden causes, links that are on or off for its whole life, and backgrounds. It answers
what is looked at as it is, and changes in every gap exactly as the belief takes it to
(`engine.belief`). Chance is handed in: from the same source the same reed comes, and lives alike.
"""

from dataclasses import dataclass, replace
from typing import Final, Protocol

from engine.lifelines import background_chance
from engine.network import Network, change_of, network_of
from kb.ids import CauseId, FindingId, RemedyId
from kb.model import Answer, Finding, Ruleset

MOST_DRAWS: Final = 10_000
"""Reeds drawn at most until one has a symptom."""


class Source(Protocol):
    """Where chance comes from; `random.Random` is one."""

    def random(self) -> float:
        """Give a number from 0 up to, but not, 1."""


@dataclass(frozen=True, slots=True)
class VirtualReed:
    """One reed, as it is at one moment."""

    network: Network
    causes: frozenset[int]
    """Those present now."""
    links: frozenset[tuple[int, int]]
    """(cause, finding) that are on, for the whole of its life."""
    backgrounds: frozenset[int]
    """Findings that show now for a reason that the ruleset does not list."""

    @classmethod
    def drawn(cls, network: Network, source: Source) -> "VirtualReed":
        """Draw a reed as it comes: one number for each cause, link and background, in their order."""
        causes = frozenset(n for n, chance in enumerate(network.prior) if source.random() < chance)
        links = frozenset(
            (cause, finding)
            for cause, shown in enumerate(network.links)
            for finding, strength in shown
            if source.random() < strength
        )
        backgrounds = frozenset(n for n, chance in enumerate(network.background) if source.random() < chance)
        return cls(network, causes, links, backgrounds)

    def shows(self, finding: FindingId) -> bool:
        """Whether `finding` shows now."""
        number = self.network.number_of[finding]
        return number in self.backgrounds or any((cause, number) in self.links for cause in self.causes)

    def answer(self, finding: FindingId) -> Answer:
        """Give what a look at `finding` finds."""
        return Answer.YES if self.shows(finding) else Answer.NO

    @property
    def hidden(self) -> tuple[CauseId, ...]:
        """The causes present now, by id."""
        return tuple(self.network.causes[number] for number in sorted(self.causes))

    def after(self, operation: RemedyId | None, source: Source, *, new_sitting: bool) -> "VirtualReed":
        """Give the reed after a gap.

        One number for each cause and background is drawn, whatever is done, so that two ways of
        working on the same reed meet the same luck in the same gap as far as they do the same.
        """
        effects = None if operation is None else self.network.effect_of(operation)
        causes, backgrounds = set(self.causes), set(self.backgrounds)
        for cause in range(len(self.network.causes)):
            going, coming = change_of(self.network, cause, effects, new_sitting=new_sitting)
            luck = source.random()
            if cause in self.causes and luck < going:
                causes.discard(cause)
            elif cause not in self.causes and luck < coming:
                causes.add(cause)
        for finding in range(len(self.network.findings)):
            was_there = finding in self.backgrounds
            if source.random() < background_chance(self.network, finding, float(was_there)):
                backgrounds.add(finding)
            else:
                backgrounds.discard(finding)
        return replace(self, causes=frozenset(causes), backgrounds=frozenset(backgrounds))


def troubles(ruleset: Ruleset, reed: VirtualReed, sitting: int) -> tuple[Finding, ...]:
    """Give what is truly wrong: findings with a priority that count and show, most urgent first."""
    return tuple(
        finding
        for priority in ruleset.priorities
        for finding in ruleset.of_priority(priority.id)
        if sitting >= finding.counts_from_sitting and reed.shows(finding.id)
    )


def drawn_with_a_symptom(ruleset: Ruleset, source: Source) -> VirtualReed | None:
    """Draw reeds until one has a symptom that counts at a first sitting.

    That is rejection sampling, so such reeds come as they come in the model. None when none of
    `MOST_DRAWS` has one: then the ruleset has no symptoms, or hardly ever any.
    """
    network = network_of(ruleset)
    counting = [one.id for one in ruleset.symptoms if one.counts_from_sitting <= 1]
    for _ in range(MOST_DRAWS if counting else 0):
        reed = VirtualReed.drawn(network, source)
        if any(reed.shows(finding) for finding in counting):
            return reed
    return None
