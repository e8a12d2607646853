"""Finds sources that nothing is based on."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Cause, Finding, Remedy, Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("unused-source")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each source that no entry names, as its own or as one that differs."""
    entries: tuple[Finding | Cause | Remedy, ...] = (
        *ruleset.findings,
        *ruleset.causes,
        *ruleset.operations,
    )
    named = {
        source
        for entry in entries
        for source in (*entry.sources, *(dissent.source for dissent in entry.differs))
    }
    for source in ruleset.sources:
        if source.id not in named:
            message = f"nothing is based on the source {source.id!r}"
            hint = "name it in the sources of what it says, or take it out"
            yield Found(None, Problem(source.place.key, NAME, message, hint, SEVERITY))
