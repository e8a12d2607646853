"""Finds priorities to which nothing belongs."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("priority-without-symptom")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each priority that no symptom and no sign names."""
    named = {finding.priority for finding in ruleset.findings}
    for priority in ruleset.priorities:
        if priority.id not in named:
            message = f"no symptom belongs to {priority.id!r}"
            hint = "write symptoms with this priority, or take it out"
            yield Found(priority, Problem(priority.place.key, NAME, message, hint, SEVERITY))
