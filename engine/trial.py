"""An author's worked cases, run: what each expects, against what the engine believes and proposes."""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from engine.advice import advise
from engine.belief import Belief
from engine.case import case_of_rounds
from engine.step import ANY_REST, Advice, Kind, Step
from kb.ids import CauseId
from kb.model import Expect, Ruleset, Trial

SAME: Final = 1e-9
"""Two chances this near, as a share of the greater, are the same: only rounding parts them."""


class Part(StrEnum):
    """What about a trial was not as expected."""

    GIVEN = "given"
    """Its own answers cannot all be true, so that nothing follows from them."""
    CAUSE = "cause"
    STEP = "step"
    NOT_STEP = "not_step"
    PRIORITY = "priority"


@dataclass(frozen=True, slots=True)
class Miss:
    """One expectation that was not met, in ids."""

    part: Part
    expected: tuple[str, ...]
    """Any of which would have done (of which none may be, for NOT_STEP); empty: all priorities clear."""
    found: tuple[str, ...]
    """What came instead; empty: nothing, or all priorities clear. For GIVEN, the findings that disagree."""


@dataclass(frozen=True, slots=True)
class TrialResult:
    """A trial and what came of it."""

    trial: Trial
    advice: Advice
    """All that the engine believed and proposed."""
    misses: tuple[Miss, ...]

    @property
    def passed(self) -> bool:
        """Whether every expectation was met."""
        return not self.misses

    @property
    def is_judged(self) -> bool:
        """Whether it expected anything."""
        return is_judged(self.trial)


def run_trial(ruleset: Ruleset, trial: Trial) -> TrialResult:
    """Weigh a trial's case and compare it with what its author expects."""
    advice = advise(ruleset, case_of_rounds(ruleset, trial.rounds), in_full=False)
    return TrialResult(trial, advice, tuple(_misses(trial.expect, advice)))


def is_judged(trial: Trial) -> bool:
    """Whether a trial expects anything at all; if not, it is a question to its author."""
    return trial.expect != Expect()


def leading_causes(belief: Belief) -> tuple[CauseId, ...]:
    """Give the causes than which no other has a greater chance."""
    if not belief.causes:
        return ()
    greatest = belief.causes[0][1]
    return tuple(cause for cause, chance in belief.causes if chance >= greatest * (1 - SAME))


def _misses(expect: Expect, advice: Advice) -> Iterator[Miss]:
    if advice.step is None:
        yield Miss(Part.GIVEN, (), tuple(dict.fromkeys(finding for _, finding in advice.disagree)))
        return
    leading = leading_causes(advice.belief)
    if expect.cause is not None and expect.cause not in leading:
        yield Miss(Part.CAUSE, (expect.cause,), leading)
    if expect.step and not _is_any_of(advice.step, expect.step):
        yield Miss(Part.STEP, expect.step, (advice.step.id,))
    if _is_any_of(advice.step, expect.not_step):
        yield Miss(Part.NOT_STEP, expect.not_step, (advice.step.id,))
    wanted = () if expect.priority is None else (expect.priority,)
    found = () if advice.priority is None else (advice.priority,)
    if (wanted or expect.all_clear) and wanted != found:
        yield Miss(Part.PRIORITY, wanted, found)


def _is_any_of(step: Step, ids: tuple[str, ...]) -> bool:
    # The plain word `rest` means a rest of whatever name.
    return step.id in ids or (step.kind is Kind.REST and ANY_REST in ids)
