"""Finds remedies that are forbidden by the very thing that they are for."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Remedy, Ruleset
from kb.problem import CheckName, Problem, Severity
from kb.text import Span

NAME: Final = CheckName("unless-forbids-itself")
SEVERITY: Final = Severity.WARNING


_LIKELY: Final = 0.5


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point, in `unless`, at each finding that whatever the remedy cures is likely to show."""
    for operation in ruleset.operations:
        if not operation.unless or not operation.cures:
            continue
        always = set.intersection(
            *(
                {show.finding for show in ruleset.cause[effect.cause].shows if show.strength >= _LIKELY}
                for effect in operation.cures
            )
        )
        written = operation.place.value.get("unless")
        for item in written.items() if written is not None else ():
            if item.data in always:
                yield _forbidden(operation, str(item.data), item.span)


def _forbidden(operation: Remedy, finding: str, span: Span) -> Found:
    message = f"{operation.id!r} is forbidden while {finding!r} shows, and what it mends makes that show"
    hint = "it could hardly ever be done: name a finding that warns of harm, or take this out"
    return Found(operation, Problem(span, NAME, message, hint, SEVERITY))
