"""Finds cuts into the reed that are meant to mend something else."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Ruleset, Undo
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("cut-for-elsewhere")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each cause outside the reed that an irreversible remedy is said to cure."""
    for remedy in ruleset.remedies:
        if remedy.undo is not Undo.NEVER:
            continue
        for effect in remedy.cures:
            if ruleset.cause[effect.cause].elsewhere:
                message = f"{remedy.id!r} cannot be undone, and {effect.cause!r} does not lie in the reed"
                hint = "mend it where it lies; cane does not grow back"
                span = remedy.place.key_of("cures", effect.cause)
                yield Found(remedy, Problem(span, NAME, message, hint, SEVERITY))
