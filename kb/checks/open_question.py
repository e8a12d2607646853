"""Finds questions that cannot be answered yes or no."""

import re
from collections.abc import Iterator
from typing import Final

from kb.checks.asked import in_english
from kb.checks.found import Found
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("open-question")
SEVERITY: Final = Severity.WARNING


_OPEN: Final = re.compile(
    r"^\W*(?:how|which|what|who|whose|whom|why"
    r"|(?:when|where)\s+(?:is|are|does|do|did|has|have|can|will|should)"
    r"|(?:rate|describe|choose|list|name)\b.*)\b",
    re.IGNORECASE,
)


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each English question that begins with how, which, what, who or why."""
    for finding in in_english(ruleset):
        if _OPEN.match(finding.ask):
            message = f"the question of {finding.id!r} cannot be answered yes or no"
            hint = "ask whether it is so; yes, slightly, no and unsure are the answers"
            yield Found(finding, Problem(finding.place.of("ask"), NAME, message, hint, SEVERITY))
