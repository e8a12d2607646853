"""Finds causes, remedies and rests that do not say where they come from."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Cause, Remedy, Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("missing-source")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each cause and operation without `sources`."""
    entries: tuple[Cause | Remedy, ...] = (*ruleset.causes, *ruleset.operations)
    for entry in entries:
        if not entry.sources:
            message = f"{entry.id!r} does not say where it comes from"
            hint = "write sources: [ID]; common practice and memory are sources too"
            yield Found(entry, Problem(entry.place.key, NAME, message, hint, SEVERITY))
