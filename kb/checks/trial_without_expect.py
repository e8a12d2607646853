"""Finds trials that expect nothing: cases that wait for their author's judgement."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Expect, Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("trial-without-expect")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each `expect` with nothing in it."""
    for trial in ruleset.trials:
        written = trial.place.value.get("expect")
        if trial.expect == Expect() and written is not None and not written.pairs():
            message = f"the trial {trial.title!r} expects nothing, so it is not judged and tests nothing"
            hint = "write what you would conclude or do: cause, step, not_step or priority"
            yield Found(None, Problem(written.span, NAME, message, hint, SEVERITY))
