"""Finds an `after` that never holds anything back."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.ids import RemedyId
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("idle-after")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each earlier operation that cures nothing.

    The earlier one holds the later one back only while it would help against an active symptom.
    """
    for operation in ruleset.operations:
        written = operation.place.value.get("after")
        for item in written.items() if operation.after and written is not None else ():
            earlier = ruleset.operation.get(RemedyId(str(item.data)))
            if earlier is not None and not earlier.cures:
                message = f"{operation.id!r} waits for {earlier.id!r}, which cures nothing"
                hint = "take it out of after, or say in its cures what it is good for"
                yield Found(operation, Problem(item.span, NAME, message, hint, SEVERITY))
