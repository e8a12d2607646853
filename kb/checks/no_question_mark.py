"""Finds questions without a question mark."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("no-question-mark")
SEVERITY: Final = Severity.WARNING


_MARKS: Final = frozenset("?\uff1f\u061f\u055e\u037e\u2e2e;")
_WITHOUT: Final = frozenset({"bo", "ja", "km", "lo", "my", "th", "zh"})
"""Languages that often ask without a mark."""


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each `ask` with no mark in it."""
    if ruleset.language.partition("-")[0].lower() in _WITHOUT:
        return
    for finding in ruleset.findings:
        if finding.ask and _MARKS.isdisjoint(finding.ask):
            message = f"what {finding.id!r} asks is no question"
            hint = "write it as you would ask it, with a question mark at its end"
            yield Found(finding, Problem(finding.place.of("ask"), NAME, message, hint, SEVERITY))
