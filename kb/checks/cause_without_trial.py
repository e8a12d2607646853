"""Finds the few causes that no trial expects, where most have one."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("cause-without-trial")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each cause that no trial expects, once trials expect three in four of them."""
    expected = {trial.expect.cause for trial in ruleset.trials if trial.expect.cause is not None}
    if 4 * len(expected) < 3 * len(ruleset.causes):
        return  # trials have only begun: `trial --coverage` says what they leave out
    for cause in ruleset.causes:
        if cause.id not in expected:
            message = f"no trial expects {cause.id!r}"
            hint = "write the case by which you would know it, so that a later change cannot lose it"
            yield Found(cause, Problem(cause.place.key, NAME, message, hint, SEVERITY))
