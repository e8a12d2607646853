"""Finds chances of 1, against which no answer can speak."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("chance-of-one")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each chance of exactly 1."""
    for cause in ruleset.causes:
        for show in cause.shows:
            if show.strength >= 1:
                message = f"{cause.id!r} makes {show.finding!r} show without exception"
                hint = "a single no then rules the cause out for good; write always, or 0.97"
                span = cause.place.of("shows", show.finding)
                yield Found(cause, Problem(span, NAME, message, hint, SEVERITY))
    for operation in ruleset.operations:
        for key, does, effects in (
            ("cures", "mends", operation.cures),
            ("provokes", "brings on", operation.provokes),
        ):
            for effect in effects:
                if effect.chance >= 1:
                    message = f"{operation.id!r} {does} {effect.cause!r} without exception"
                    hint = "what is found afterwards cannot speak against it; write always, or 0.97"
                    span = operation.place.of(key, effect.cause)
                    yield Found(operation, Problem(span, NAME, message, hint, SEVERITY))
