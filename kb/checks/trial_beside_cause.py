"""Finds trials that expect a cause for which nothing that was found speaks."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("trial-beside-cause")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at `cause` where something was found and the cause makes none of it show.

    A trial with a reading is left alone: what the reading says is for the engine to judge.
    """
    for trial in ruleset.trials:
        if trial.expect.cause is None or any(one.measure for one in trial.rounds):
            continue
        found = {name for one in trial.rounds for name, answer in one.given if answer.is_present}
        cause = ruleset.cause[trial.expect.cause]
        if found and found.isdisjoint(show.finding for show in cause.shows):
            message = f"{cause.id!r} makes nothing show that the trial {trial.title!r} has found"
            hint = f"say in shows that {cause.id!r} makes {min(found)!r} show, or expect another cause"
            span = trial.place.of("expect", "cause")
            yield Found(cause, Problem(span, NAME, message, hint, SEVERITY))
