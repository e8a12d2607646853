"""Finds entries that wait for a sitting which no rest ever opens."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Finding, Remedy, Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("unreachable-sitting")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each later sitting, in a ruleset without a rest that leads from one to the next."""
    if any(rest.new_sitting for rest in ruleset.rests):
        return
    for finding in ruleset.findings:
        if finding.counts_from_sitting > 1:
            yield _waiting(finding, "counts_from_sitting", finding.counts_from_sitting)
    for operation in ruleset.operations:
        if operation.from_sitting > 1:
            yield _waiting(operation, "from_sitting", operation.from_sitting)


def _waiting(entry: Finding | Remedy, key: str, sitting: int) -> Found:
    message = f"{entry.id!r} waits for sitting {sitting}, and no rest opens a new sitting"
    hint = f"write a rest with new_sitting: true, or take {key} out"
    return Found(entry, Problem(entry.place.of(key), NAME, message, hint, SEVERITY))
