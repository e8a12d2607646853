"""Finds trials that do not say what was found."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("trial-without-given")
SEVERITY: Final = Severity.ERROR


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at the first key of each trial with no round at all."""
    for trial in ruleset.trials:
        if not trial.rounds:
            pairs = trial.place.value.pairs()
            span = pairs[0].key_span if pairs else trial.place.key
            message = f"the trial {trial.title!r} does not say what was found"
            hint = "write given, measure or rounds; given: {} if nothing was"
            yield Found(None, Problem(span, NAME, message, hint, SEVERITY))
