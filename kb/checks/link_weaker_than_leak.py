"""Finds links that say less than the leak of their finding."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("link-weaker-than-leak")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each strength that is not above the leak."""
    for cause in ruleset.causes:
        for show in cause.shows:
            leak = ruleset.finding[show.finding].leak
            if show.strength <= leak:
                message = (
                    f"{show.finding!r} shows with {cause.id!r} no more often ({show.strength:g}) "
                    f"than by itself ({leak:g})"
                )
                hint = "raise this chance, lower the leak, or take the link out"
                yield Found(
                    cause, Problem(cause.place.of("shows", show.finding), NAME, message, hint, SEVERITY)
                )
