"""Finds operations with a tool that can hurt, and no word of caution."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Hazard, Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("missing-caution")
SEVERITY: Final = Severity.ERROR


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at the tool, where the caution beside it is nowhere; at the caution, where it is blank."""
    for operation in ruleset.operations:
        tool = ruleset.tool.get(operation.tool) if operation.tool is not None else None
        written = operation.place.value.get("caution")
        if written is not None and written.data is None:
            continue  # what stood there was refused, and that is told
        if tool is not None and tool.hazard is not Hazard.NONE and not operation.caution.strip():
            message = f"{operation.id!r} takes a {tool.hazard} into the hand and says no caution"
            hint = "write caution: what to mind so that nobody is hurt"
            span = operation.place.of("tool" if written is None else "caution")
            yield Found(operation, Problem(span, NAME, message, hint, SEVERITY))
