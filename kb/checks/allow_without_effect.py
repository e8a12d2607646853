"""Finds allowances that silence nothing: the fault is gone, or cannot be allowed."""

from collections.abc import Iterator, Mapping
from typing import Final

from kb.checks.found import Entry, Found
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("allow-without-effect")
SEVERITY: Final = Severity.WARNING


def check(
    entries: tuple[Entry, ...],
    severities: Mapping[CheckName, Severity],
    used: frozenset[tuple[Entry, str]],
) -> Iterator[Found]:
    """Point at each allowance of a check that ran and found nothing there to allow.

    `severities` names the checks that ran; of others nothing can be said. It is judged last, and
    cannot itself be allowed: the way to silence it is to delete a line.
    """
    for entry in entries:
        for allowance in entry.allow:
            severity = severities.get(CheckName(allowance.check))
            if severity is None or (entry, allowance.check) in used:
                continue
            if severity is Severity.ERROR:
                message = f"{allowance.check!r} is an error, and errors cannot be allowed"
            else:
                message = f"{allowance.check!r} finds nothing at {entry.id!r} any more"
            span = entry.place.key_of("allow", allowance.check)
            yield Found(None, Problem(span, NAME, message, "take this line out", SEVERITY))
