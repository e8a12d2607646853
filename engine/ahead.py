"""What may follow at a case: answers with their exact chances, minutes, cuts, and what an end leaves behind.

The computed tree and a teacher's chart are priced by the same words, and these are they. Cost is in
minutes, as advice weighs it:

- a question costs the minutes that the sitting counts for it; what is asked right after an operation
  to see what it changed (its rechecks, and the symptoms being worked on) was paid with the operation;
- an operation costs its minutes, its rechecks, its stakes and the trouble that it may bring;
- an end costs what may still show: for each priority (`through` the last that is to be settled), its
  worth times the chance that it is the first that still has trouble. Setting the reed aside costs the
  worth of the first priority.

Cases are remembered without the order of the answers in a round, on which nothing depends.
"""

from dataclasses import dataclass, field
from typing import Final

from engine.advice import advise
from engine.case import Case
from engine.cost import full_cost
from engine.folding import Folded, fold_until_narrow
from engine.following import present_symptoms, stale_symptoms
from engine.outlook import Outlook
from engine.playing import spent_in_all
from engine.standing import counts_now
from engine.step import Advice
from kb.ids import FindingId, RemedyId
from kb.model import Answer, Ending, Remedy, Ruleset

NEVER: Final = 1e-9
"""A chance below which something does not happen: what rounding leaves of nothing."""

CaseKey = tuple[object, ...]


def key_of(case: Case) -> CaseKey:
    """Give what a decision can depend on."""
    return tuple(
        (
            frozenset(one.answers),
            frozenset(one.readings),
            frozenset(one.sigmas),
            one.read_off,
            one.sitting,
            one.gap,
        )
        for one in case.rounds
    )


@dataclass(frozen=True, slots=True)
class Way:
    """One thing that may follow a step."""

    answer: Answer | None
    """None where nothing is answered: after an operation."""
    chance: float
    case: Case
    minutes: float
    cuts: int
    cost: float


def scope_of(ruleset: Ruleset, case: Case) -> int:
    """Give how many priorities are to be settled: through the first with trouble present, else the first."""
    for number, priority in enumerate(ruleset.priorities):
        if present_symptoms(ruleset, case, priority.id):
            return number + 1
    return 1


@dataclass(frozen=True)
class Ahead:
    """Looks ahead from cases of one ruleset; advice is remembered by case."""

    ruleset: Ruleset
    _advice: dict[CaseKey, Advice] = field(default_factory=dict)
    _folded: dict[CaseKey, Folded] = field(default_factory=dict)
    """Of the case looked at last only: it holds tables."""

    def advice(self, case: Case) -> Advice:
        """Give the engine's advice. Raises TooWideError like `advise`."""
        key = key_of(case)
        if key not in self._advice:
            self._advice[key] = advise(self.ruleset, case)
        return self._advice[key]

    def asked(self, case: Case, finding: FindingId) -> tuple[Way, ...]:
        """Give what may be answered (yes, then no), leaving out what cannot be. Raises TooWideError."""
        shows = self.shows(case, finding)
        again = self.is_looked_at_again(case, finding)
        before, _ = spent_in_all(self.ruleset, case)
        ways = []
        for answer, chance in ((Answer.YES, shows), (Answer.NO, 1.0 - shows)):
            if chance > NEVER:
                then = case.with_answer(finding, answer)
                minutes = max(0.0, spent_in_all(self.ruleset, then)[0] - before)
                ways.append(Way(answer, chance, then, minutes, 0, 0.0 if again else minutes))
        return tuple(ways)

    def done(self, case: Case, operation: RemedyId | None) -> Way:
        """Give what follows an operation, or (None) a night in which nothing is done. Raises TooWideError."""
        entry = None if operation is None else self.ruleset.operation[operation]
        then = case.with_gap(operation, new_sitting=entry is None or entry.new_sitting)
        (minutes, cuts), (before, cuts_before) = (
            spent_in_all(self.ruleset, then),
            spent_in_all(self.ruleset, case),
        )
        cost = 0.0 if entry is None else self.cost_of(case, entry)
        return Way(None, 1.0, then, minutes - before, len(cuts) - len(cuts_before), cost)

    def cost_of(self, case: Case, operation: Remedy) -> float:
        """Give what doing `operation` costs at `case`."""
        return full_cost(self.ruleset, operation, self.advice(case).belief.chance)

    def is_looked_at_again(self, case: Case, finding: FindingId) -> bool:
        """Whether asking `finding` now only finds out what the last operation changed."""
        gap = case.rounds[-2].gap if len(case.rounds) > 1 else None
        if gap is None:
            return False
        rechecks = () if gap.operation is None else self.ruleset.operation[gap.operation].recheck
        return finding in rechecks or finding in stale_symptoms(self.ruleset, case)

    def shows(self, case: Case, finding: FindingId) -> float:
        """Give the chance that a finding shows now."""
        folded = self._laid_out(case)
        chance = Outlook(folded).each_shows(folded.ground.network.numbers([finding]))[0]
        return 0.0 if chance < NEVER else 1.0 if chance > 1.0 - NEVER else chance

    def trouble(self, case: Case, through: int | None = None) -> tuple[float, ...]:
        """Give for each of the first `through` priorities the chance that it is the first that has trouble.

        Only symptoms that count at this sitting are looked at. Raises TooWideError.
        """
        folded = self._laid_out(case)
        network = folded.ground.network
        outlook, numbers, found, before = Outlook(folded), list[int](), list[float](), 0.0
        for priority in self.ruleset.priorities[:through]:
            symptoms = self.ruleset.of_priority(priority.id)
            numbers += network.numbers(one.id for one in symptoms if counts_now(one, case))
            any_shows = max(before, outlook.any_shows(numbers))
            found.append(any_shows - before)
            before = any_shows
        return tuple(found)

    def left(self, case: Case, through: int | None = None) -> float:
        """Give what the trouble that may show now is worth, in minutes. Raises TooWideError."""
        chances = self.trouble(case, through)
        return sum(
            (
                chance * priority.worth
                for chance, priority in zip(chances, self.ruleset.priorities, strict=False)
            ),
            0.0,
        )

    def ended(self, case: Case, ending: Ending | None, through: int | None = None) -> float:
        """Give what an end costs (None: an end without a verdict). Raises TooWideError."""
        if ending is Ending.SET_ASIDE and self.ruleset.priorities:
            return self.ruleset.priorities[0].worth
        return self.left(case, through)

    @property
    def most_worth(self) -> float:
        """The largest worth of any priority, in minutes."""
        return max((priority.worth for priority in self.ruleset.priorities), default=0.0)

    def _laid_out(self, case: Case) -> Folded:
        key = key_of(case)
        if key not in self._folded:
            self._folded.clear()
            self._folded[key] = fold_until_narrow(self.ruleset, case)
        return self._folded[key]
