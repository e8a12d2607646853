"""Finds rechecks that look at nothing which the remedy touches."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Remedy, Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("recheck-beside-cure")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each `recheck` of which nothing is made to show by what is cured or provoked."""
    for operation in ruleset.operations:
        mended = {effect.cause for effect in operation.cures}
        touched = mended | {effect.cause for effect in operation.provokes}
        shown = {show.finding for cause in touched for show in ruleset.cause[cause].shows}
        if mended and operation.recheck and shown and shown.isdisjoint(operation.recheck):
            message = (
                f"what is asked after {operation.id!r} has nothing to do with what it mends or may bring on"
            )
            hint = f"name a symptom or sign of that, such as {_nearest_to_hand(ruleset, operation)!r}"
            span = operation.place.of("recheck")
            yield Found(operation, Problem(span, NAME, message, hint, SEVERITY), frozenset(touched))


def _nearest_to_hand(ruleset: Ruleset, operation: Remedy) -> str:
    """Give what the first cause that it mends shows most."""
    shows = [show for effect in operation.cures for show in ruleset.cause[effect.cause].shows] or [
        show for effect in operation.provokes for show in ruleset.cause[effect.cause].shows
    ]
    return max(shows, key=lambda show: show.strength).finding
