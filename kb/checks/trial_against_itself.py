"""Finds trials that both want a step and refuse it."""

from collections.abc import Iterator
from typing import Final

from kb.checks.cases import owner
from kb.checks.found import Found
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("trial-against-itself")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point, in `not_step`, at each step that stands in `step` too."""
    for trial in ruleset.trials:
        expect = trial.place.value.get("expect")
        refused = expect.get("not_step") if expect is not None else None
        for item in refused.items() if refused is not None else ():
            if item.data in trial.expect.step:
                message = f"the trial {trial.title!r} expects {item.data!r}, and forbids it"
                hint = "take it out of step, or out of not_step"
                yield Found(owner(ruleset, trial), Problem(item.span, NAME, message, hint, SEVERITY))
