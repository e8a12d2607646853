"""Finds symptoms and signs that may never show for an unlisted reason."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("leak-zero")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each leak of 0."""
    for finding in ruleset.findings:
        if finding.leak <= 0:
            message = f"{finding.id!r} is said never to show for a reason that is not listed"
            hint = (
                "a yes then becomes impossible once its causes are ruled out; write 0.01, or leave leak out"
            )
            yield Found(finding, Problem(finding.place.of("leak"), NAME, message, hint, SEVERITY))
