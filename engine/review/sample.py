"""What the questions are tried on: plain cases made from the ruleset, and virtual reeds drawn from it.

A plain case is the clearest picture of one cause: what it mostly shows is answered yes, all else no. A
first case is where a sitting begins: one symptom. They settle most questions at once, so that the reeds
are left for those that they do not.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cached_property
from typing import Final

from engine.advice import advise
from engine.ahead import CaseKey, key_of
from engine.case import Case
from engine.refusal import TooWideError
from engine.step import Step
from engine.virtual import Source, VirtualReed, drawn_with_a_symptom
from kb.ids import FindingId
from kb.model import Answer, Cause, Ruleset

REEDS: Final = 300
"""Virtual reeds, the same ones each time: a share of one in a hundred is then seen almost surely."""
MOSTLY: Final = 0.5
"""Strength from which a plain case takes a cause to show a finding."""

Told = Callable[[str], None]
"""Hears what is being looked at."""


def silent(_: str) -> None:
    """Tell nobody."""


@dataclass(frozen=True)
class Sample:
    """A ruleset under review, and its reeds."""

    ruleset: Ruleset
    source_of: Callable[[int], Source]
    """Gives the source of chance for a number; the same number, the same reed."""
    told: Told = silent
    _steps: dict[CaseKey, Step | None] = field(default_factory=dict)

    @cached_property
    def reeds(self) -> tuple[VirtualReed, ...]:
        """The reeds that have a symptom, of `REEDS` draws; none where by the ruleset none has any."""
        drawn = (drawn_with_a_symptom(self.ruleset, self.source_of(number)) for number in range(REEDS))
        return tuple(reed for reed in drawn if reed is not None)

    def step(self, case: Case) -> Step | None:
        """Give the next step; None where nothing follows: the case is impossible, or too wide."""
        key = key_of(case)
        if key not in self._steps:
            try:
                self._steps[key] = advise(self.ruleset, case, in_full=False).step
            except TooWideError:
                self._steps[key] = None
        return self._steps[key]

    def plain_case(self, cause: Cause, *, without: FindingId | None = None) -> Case:
        """Give the clearest picture of `cause`: what it mostly shows is there, all else is not."""
        asked = frozenset(finding.id for finding in self.ruleset.findings if finding.id != without)
        return self._told(self._plainly_shown(cause), asked, without)

    def first_cases(self, cause: Cause, *, without: FindingId) -> Iterator[Case]:
        """Give cases as they begin: one symptom that `cause` shows, or none, and no sign looked at yet."""
        symptoms = frozenset(one.id for one in self.ruleset.findings if one.priority and one.id != without)
        for show in sorted(cause.shows, key=lambda show: (-show.strength, show.finding)):
            if show.finding in symptoms:
                yield self._told(frozenset({show.finding}), symptoms, without)
        yield self._told(frozenset(), symptoms, without)

    def _told(
        self, shown: frozenset[FindingId], asked: frozenset[FindingId], pending: FindingId | None
    ) -> Case:
        """Give a case: yes to what is `shown`, no to all else that was `asked`.

        It is of the sitting at which all that matters counts, what is `pending` included.
        """
        counting = {*shown, pending}
        froms = [one.counts_from_sitting for one in self.ruleset.findings if one.id in counting]
        case = Case().with_sitting(max(froms, default=1))
        for finding in self.ruleset.findings:
            if finding.id in asked:
                case = case.with_answer(finding.id, Answer.YES if finding.id in shown else Answer.NO)
        return case

    def cases(self, without: FindingId) -> Iterator[Case]:
        """Give for each reed a case that a maker may have: its symptoms and half of its signs."""
        for number, reed in enumerate(self.reeds):
            source = self.source_of(REEDS + number)
            case = Case()
            for finding in self.ruleset.findings:
                is_looked_at = not finding.is_sign or source.random() < 0.5
                if is_looked_at and finding.id != without and finding.counts_from_sitting <= 1:
                    case = case.with_answer(finding.id, Answer.YES if reed.shows(finding.id) else Answer.NO)
            yield case

    def _plainly_shown(self, cause: Cause) -> frozenset[FindingId]:
        strongest = max((show.strength for show in cause.shows), default=0.0)
        return frozenset(show.finding for show in cause.shows if show.strength >= min(MOSTLY, strongest))
