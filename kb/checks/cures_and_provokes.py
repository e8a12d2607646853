"""Finds remedies that bring on the very thing that they mend."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("cures-and-provokes")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point, in `provokes`, at each cause that the same remedy cures.

    A rest may do both: it says how often the cause comes back overnight.
    """
    for remedy in ruleset.remedies:
        cured = {effect.cause for effect in remedy.cures}
        for effect in remedy.provokes:
            if effect.cause in cured:
                message = f"{remedy.id!r} both cures and provokes {effect.cause!r}"
                hint = "the chance that it fails is in cures already; name here what else it may do"
                span = remedy.place.key_of("provokes", effect.cause)
                yield Found(remedy, Problem(span, NAME, message, hint, SEVERITY))
