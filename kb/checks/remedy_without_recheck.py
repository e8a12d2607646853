"""Finds remedies after which nothing is looked at again."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("remedy-without-recheck")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each remedy without `recheck`; a rest is followed by the next sitting's opening."""
    for remedy in ruleset.remedies:
        if not remedy.recheck:
            message = f"nothing is asked again after {remedy.id!r}"
            hint = "write in recheck what tells whether it worked"
            yield Found(remedy, Problem(remedy.place.key, NAME, message, hint, SEVERITY))
