"""Finds causes that make nothing show."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("cause-never-shown")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each cause that shows nothing."""
    for cause in ruleset.causes:
        if not cause.shows:
            message = f"nothing would show that {cause.id!r} is there"
            hint = "write in shows which symptoms and signs it makes show"
            yield Found(cause, Problem(cause.place.key, NAME, message, hint, SEVERITY))
