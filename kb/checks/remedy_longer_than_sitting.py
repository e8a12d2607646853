"""Finds remedies that take longer than a whole sitting."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("remedy-longer-than-sitting")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at the minutes of each remedy that one sitting cannot hold."""
    limit = ruleset.sitting.minutes
    if limit is None or limit <= 0:
        return
    for remedy in ruleset.remedies:
        if remedy.minutes > limit:
            message = f"{remedy.id!r} takes {remedy.minutes:g} minutes, and a sitting is over after {limit:g}"
            hint = "split it, or change its minutes or those of the sitting"
            yield Found(remedy, Problem(remedy.place.of("minutes"), NAME, message, hint, SEVERITY))
