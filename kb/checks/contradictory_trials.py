"""Finds trials that expect of the same case what cannot both be."""

from collections.abc import Iterator
from typing import Final

from kb.checks.cases import Case, case_of, is_whole, owner
from kb.checks.found import Found
from kb.model import Expect, Ruleset, Trial
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("contradictory-trials")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at the `expect` of each trial that contradicts an earlier one of the same case."""
    earlier: dict[Case, Trial] = {}
    for trial in filter(is_whole, ruleset.trials):
        first = earlier.setdefault(case_of(trial), trial)
        if first is trial:
            continue
        what = _quarrel(first.expect, trial.expect)
        if what:
            message = f"the trial {first.title!r} has the same case, and expects another {what}"
            hint = "say what was found in one of them and not in the other, or take one out"
            span = trial.place.of("expect", what)
            yield Found(owner(ruleset, trial), Problem(span, NAME, message, hint, SEVERITY))


def _quarrel(one: Expect, other: Expect) -> str:
    """Say in what two expectations cannot both be met, or nothing."""
    if one.cause is not None and other.cause is not None and one.cause != other.cause:
        return "cause"
    left, right = set(one.step), set(other.step)
    if (left and right and left.isdisjoint(right)) or (right and right <= set(one.not_step)):
        return "step"
    if left and left <= set(other.not_step):
        return "not_step"
    ranks = [e.priority or ("none" if e.all_clear else "") for e in (one, other)]
    return "priority" if all(ranks) and ranks[0] != ranks[1] else ""
