"""Finds priorities that are worth more than a more urgent one."""

from collections.abc import Iterator
from itertools import pairwise
from typing import Final

from kb.checks.found import Found
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("later-worth-more")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at the worth of each priority that exceeds that of the one before it."""
    for before, after in pairwise(ruleset.priorities):
        if after.worth > before.worth:
            message = (
                f"{after.id!r} is worth {after.worth:g} minutes, "
                f"and {before.id!r}, which comes first, {before.worth:g}"
            )
            hint = "priorities stand most urgent first: change the order, or the worth (120 if not said)"
            yield Found(after, Problem(after.place.of("worth"), NAME, message, hint, SEVERITY))
