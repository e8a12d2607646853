"""What a check hands over: a problem, and the entry on which an author may allow it."""

from dataclasses import dataclass

from kb.model import Cause, Chart, Finding, Priority, Profile, Quantity, Remedy, Ruleset, Tool, Zone
from kb.problem import Problem

Entry = Priority | Finding | Cause | Remedy | Tool | Zone | Quantity | Profile | Chart
"""An entry that can carry `allow`."""


@dataclass(frozen=True, slots=True)
class Found:
    """A problem with its entry; None where none can carry `allow`."""

    entry: Entry | None
    problem: Problem
    rests_on: frozenset[str] = frozenset()
    """Ids of other entries whose links it takes to be complete."""


def every_entry(ruleset: Ruleset) -> tuple[Entry, ...]:
    """Give every entry that can carry `allow`."""
    return (
        *ruleset.priorities,
        *ruleset.findings,
        *ruleset.causes,
        *ruleset.operations,
        *ruleset.tools,
        *ruleset.zones,
        *ruleset.quantities,
        *ruleset.thickness,
        *ruleset.charts,
    )
