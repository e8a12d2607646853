"""A made-up reed with hidden faults that answers questions and reacts to remedies, for benches and laws.

Drawn from a ruleset by the model's own words, with `tests.support.brute` and not the engine.
"""

import random
from collections.abc import Iterator
from dataclasses import dataclass, field

from engine.interview import (
    AskCard,
    Card,
    DisagreeCard,
    DoCard,
    Interview,
    OverviewCard,
    PickCard,
    RestCard,
    StopCard,
)
from kb.ids import FindingId, RemedyId
from kb.log.entry import Answered, Entry, EntryId, Overviewed, ReedId, RemedyDone, Rested, What
from kb.model import Answer, Ruleset
from tests.support.brute import OVERNIGHT, change


@dataclass
class HiddenReed:
    """One reed, and what it does when it is looked at or worked on."""

    ruleset: Ruleset
    source: random.Random
    causes: set[str] = field(default_factory=set)
    behind: set[str] = field(default_factory=set)
    """Findings that show for a reason not listed."""
    fires: set[tuple[str, str]] = field(default_factory=set)

    @classmethod
    def drawn(cls, ruleset: Ruleset, seed: int) -> "HiddenReed":
        """Draw a reed that has at least one symptom."""
        source = random.Random(seed)
        while True:
            reed = cls(ruleset, source)
            reed.causes = {one.id for one in ruleset.causes if source.random() < one.how_common}
            reed.behind = {one.id for one in ruleset.findings if source.random() < one.leak}
            reed.fires = {
                (one.id, show.finding)
                for one in ruleset.causes
                for show in one.shows
                if source.random() < show.strength
            }
            if any(reed.shows(symptom.id) for symptom in ruleset.symptoms):
                return reed

    def shows(self, finding: FindingId) -> bool:
        """Whether a finding shows now."""
        return finding in self.behind or any((cause, finding) in self.fires for cause in self.causes)

    def answer(self, finding: FindingId) -> Answer:
        """Answer as the reed is."""
        return Answer.YES if self.shows(finding) else Answer.NO

    def goes_through(self, operation: RemedyId | None, *, new_sitting: bool) -> None:
        """Live through a gap."""
        entry = None if operation is None else self.ruleset.operation[operation]
        before = frozenset(self.causes)
        for cause in self.ruleset.causes:
            goes, comes = change(entry, cause, float, new_sitting=new_sitting)
            if cause.id in before and self.source.random() < goes:
                self.causes.discard(cause.id)
            elif cause.id not in before and self.source.random() < comes:
                self.causes.add(cause.id)
        for finding in self.ruleset.findings:
            comes = OVERNIGHT * finding.leak / (1 - finding.leak)
            if finding.id in self.behind:
                if self.source.random() < OVERNIGHT:
                    self.behind.discard(finding.id)
            elif self.source.random() < comes:
                self.behind.add(finding.id)

    def reply(self, card: Card) -> What | None:
        """Do what a maker does with a card; None at the end."""
        match card:
            case AskCard(finding=finding):
                return Answered(finding.id, self.answer(finding.id))
            case OverviewCard(priority, clears):
                fine = not any(self.shows(symptom) for symptom in clears)
                return Overviewed(priority.id, fine, clears if fine else ())
            case PickCard(_, symptoms):
                first = next((one for one in symptoms if self.shows(one.id)), symptoms[0])
                return Answered(first.id, self.answer(first.id))
            case DoCard(operation):
                self.goes_through(operation.id, new_sitting=False)
                return RemedyDone(operation.id)
            case RestCard(operation):
                id_ = None if operation is None else operation.id
                self.goes_through(id_, new_sitting=True)
                return Rested(id_, new_sitting=True)
            case StopCard() | DisagreeCard():
                return None

    def interviewed(self, most: int = 150) -> Iterator[Interview]:
        """Give the interview at each of its cards, from the first to the last."""
        interview = Interview.begin(self.ruleset)
        for number in range(most):
            yield interview
            what = self.reply(interview.card)
            if what is None:
                return
            entry = Entry(EntryId(f"entry-{number}"), ReedId("reed"), "2030-01-01T10:00:00+00:00", None, what)
            interview = interview.with_entry(entry)
