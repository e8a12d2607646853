"""Finds causes that no remedy and no rest mends."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("cause-without-remedy")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each cause that is in no operation's `cures`."""
    mended = {effect.cause for operation in ruleset.operations for effect in operation.cures}
    for cause in ruleset.causes:
        if cause.id not in mended:
            message = f"nothing mends {cause.id!r}"
            hint = (
                "write a remedy that says what to do about it, such as having the instrument looked at"
                if cause.elsewhere
                else "add it to the cures of a remedy or rest"
            )
            yield Found(cause, Problem(cause.place.key, NAME, message, hint, SEVERITY))
