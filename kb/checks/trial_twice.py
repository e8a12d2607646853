"""Finds trials that say the same as an earlier one."""

from collections.abc import Iterator
from typing import Final

from kb.checks.cases import Case, case_of, is_whole, owner
from kb.checks.found import Found
from kb.model import Expect, Ruleset, Trial
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("trial-twice")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each trial with the same case and the same expectation as one before it."""
    earlier: dict[tuple[Case, Expect], Trial] = {}
    for trial in filter(is_whole, ruleset.trials):
        first = earlier.setdefault((case_of(trial), trial.expect), trial)
        if first is not trial:
            message = f"this trial says the same as {first.title!r}"
            hint = "take it out, or say what it has beyond the other"
            span = trial.place.of("title")
            yield Found(owner(ruleset, trial), Problem(span, NAME, message, hint, SEVERITY))
