"""Whether any trial notices that a part is gone: each is run without it until one fails."""

from collections.abc import Iterable
from dataclasses import dataclass

from engine.belief import believe
from engine.case import Case, case_of_rounds
from engine.coverage.parts import Part, Sort, without
from engine.coverage.reach import Reach, reach_of
from engine.refusal import TooWideError
from engine.trial import is_judged, leading_causes, run_trial
from kb.model import Ruleset, Trial


@dataclass(frozen=True, slots=True)
class Watcher:
    """A trial that expects something and passes, and so can notice a loss."""

    trial: Trial
    case: Case
    reach: Reach

    def names(self, part: Part) -> int:
        """Count how much of `part` the trial speaks of: such trials are tried first."""
        expect = self.trial.expect
        named = {expect.cause, *expect.step, *self.reach.told, *self.reach.done}
        return (part.of in named) + (part.to in named)


@dataclass(frozen=True, slots=True)
class Roll:
    """The trials of a ruleset, by what they can do."""

    watchers: tuple[Watcher, ...]
    failing: tuple[Trial, ...]
    """They fail as it is, and so can tell nothing."""
    unjudged: tuple[Trial, ...]
    """They expect nothing."""


def roll_of(ruleset: Ruleset) -> Roll:
    """Run every trial once, with nothing lost."""
    watchers, failing, unjudged = list[Watcher](), list[Trial](), list[Trial]()
    for trial in ruleset.trials:
        if not is_judged(trial):
            unjudged.append(trial)
            continue
        result = run_trial(ruleset, trial)
        if not result.passed:
            failing.append(trial)
            continue
        case = case_of_rounds(ruleset, trial.rounds)
        watchers.append(Watcher(trial, case, reach_of(ruleset, case, trial.expect, result.advice)))
    return Roll(tuple(watchers), tuple(failing), tuple(unjudged))


def noticed_by(ruleset: Ruleset, watchers: Iterable[Watcher], part: Part) -> Trial | None:
    """Give a trial that fails without `part`; None when all of them pass as before."""
    concerned = [one for one in watchers if one.reach.may_notice(part)]
    if not concerned:
        return None
    lost = without(ruleset, part)
    by_name = sorted(concerned, key=lambda one: -one.names(part))
    # What belief alone tells costs a tenth of a step, so all are asked for that before any for more.
    believing = (one for one in by_name if part.sort is Sort.SHOWS or part.of in one.reach.done)
    quick = (one.trial for one in believing if _misses_cause(lost, one))
    full = (one.trial for one in by_name if not one.reach.by_cause and _fails(lost, one.trial))
    return next(quick, None) or next(full, None)


def _misses_cause(lost: Ruleset, watcher: Watcher) -> bool:
    wanted = watcher.trial.expect.cause
    if wanted is None:
        return False
    try:
        belief = believe(lost, watcher.case)
    except TooWideError:  # pragma: no cover - a loss makes no case wider
        return False
    return not belief.is_possible or wanted not in leading_causes(belief)


def _fails(lost: Ruleset, trial: Trial) -> bool:
    try:
        return not run_trial(lost, trial).passed
    except TooWideError:  # pragma: no cover - a loss makes no case wider
        return False
