"""What is known of one reed, for every map of its rules: answers on findings, chances on causes."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

from engine.belief import Belief
from engine.case import Case
from engine.findings import latest_told
from kb.graph import Graph
from kb.model import Answer, Ruleset
from tui.language import worded, worded_later
from tui.words import chance_word, per_cent

ANSWERS: Final[Mapping[Answer, str]] = {
    Answer.YES: worded_later("it shows"),
    Answer.SLIGHTLY: worded_later("it shows slightly"),
    Answer.NO: worded_later("it does not show"),
}
UNLIKELY: Final = 0.01
"""Chance below which a cause says nothing: a map full of noughts hides what matters."""


@dataclass(frozen=True, slots=True)
class Known:
    """What is known of a reed."""

    name: str
    answers: Mapping[str, Answer]
    """By finding: yes, slightly or no, as last told by answer or reading."""
    chances: Mapping[str, float]
    """By cause, as believed now."""

    @property
    def possible(self) -> frozenset[str]:
        """The causes that are worth telling of."""
        return frozenset(id_ for id_ in self.chances if self.chance(id_) is not None)

    def chance(self, id_: str) -> float | None:
        """Give the chance of a cause; None where it is hardly possible, and of all that is no cause."""
        chance = self.chances.get(id_, 0.0)
        return chance if chance >= UNLIKELY else None

    def said_of(self, id_: str) -> str:
        """Say what is known of an entry; nothing where nothing is."""
        if id_ in self.answers:
            return worded(ANSWERS[self.answers[id_]])
        chance = self.chance(id_)
        return "" if chance is None else chance_told(chance)

    def told_on(self, graph: Graph) -> Graph:
        """Give `graph` with what is known written before the titles, where no cutting reaches it."""
        entries = tuple(
            replace(entry, title=f"{said}: {entry.title}") if (said := self.said_of(entry.id)) else entry
            for entry in graph.entries
        )
        return replace(graph, title=f"{graph.title}; {self.name}", entries=entries)


def chance_told(chance: float) -> str:
    """Say a chance in words and figures."""
    return f"{chance_word(chance)}, {per_cent(chance)}"


def known_of(name: str, ruleset: Ruleset, case: Case, belief: Belief) -> Known:
    """Gather what is known of the reed called `name`."""
    answers = {}
    for finding in ruleset.findings:
        latest = latest_told(ruleset, case, finding.id)
        if latest is not None:
            answers[str(finding.id)] = latest[1]
    return Known(name, answers, {str(cause): chance for cause, chance in belief.causes})
