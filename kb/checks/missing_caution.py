"""Finds operations with a tool that can hurt, and no word of caution."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Hazard, Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("missing-caution")
SEVERITY: Final = Severity.ERROR


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at the tool: the caution that should stand beside it is nowhere."""
    for operation in ruleset.operations:
        tool = ruleset.tool.get(operation.tool) if operation.tool is not None else None
        if tool is not None and tool.hazard is not Hazard.NONE and not operation.caution.strip():
            message = f"{operation.id!r} takes a {tool.hazard} into the hand and says no caution"
            hint = "write caution: what to mind so that nobody is hurt"
            yield Found(operation, Problem(operation.place.of("tool"), NAME, message, hint, SEVERITY))
