"""Finds symptoms and signs that no cause makes show."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("symptom-without-cause")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each finding that is in no cause's `shows`."""
    shown = {show.finding for cause in ruleset.causes for show in cause.shows}
    for finding in ruleset.findings:
        if finding.id not in shown:
            kind = "sign" if finding.is_sign else "symptom"
            message = f"no cause makes the {kind} {finding.id!r} show"
            hint = "an answer to it changes nothing; add it to the shows of a cause"
            yield Found(finding, Problem(finding.place.key, NAME, message, hint, SEVERITY))
