"""Finds rests of a whole night after which the same sitting is said to go on."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("night-without-sitting")
SEVERITY: Final = Severity.WARNING


_NIGHT: Final = 8.0
"""Hours after which nobody speaks of the same sitting."""


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at the hours of each long rest without `new_sitting`."""
    for rest in ruleset.rests:
        if rest.hours >= _NIGHT and not rest.new_sitting:
            message = f"{rest.id!r} lasts {rest.hours:g} hours, and opens no new sitting"
            hint = "write new_sitting: true"
            yield Found(rest, Problem(rest.place.of("hours"), NAME, message, hint, SEVERITY))
