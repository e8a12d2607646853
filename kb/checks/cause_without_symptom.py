"""Finds causes that only signs without a priority give away."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.checks.island import islands
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("cause-without-symptom")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each cause that can be seen, and that no trouble ever leads to.

    A cause whose sign stands in an `unless` is there to hold a remedy back; that is use enough.
    """
    ranked = {finding.id for finding in ruleset.findings if finding.priority is not None}
    guards = {finding for operation in ruleset.operations for finding in operation.unless}
    apart = {cause for island in islands(ruleset) for cause in island}
    for cause in ruleset.causes:
        shown = {show.finding for show in cause.shows}
        if shown and cause not in apart and ranked.isdisjoint(shown) and guards.isdisjoint(shown):
            message = f"{cause.id!r} makes no symptom show, only signs, so nobody will ever mend it"
            hint = "name the symptom that it makes show, or give its sign a priority"
            yield Found(cause, Problem(cause.place.key, NAME, message, hint, SEVERITY))
