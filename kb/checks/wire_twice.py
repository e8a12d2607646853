"""Finds zones that are the same wire."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Ruleset, Zone
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("wire-twice")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each second zone with the same wire."""
    first: dict[int, Zone] = {}
    for zone in ruleset.zones:
        if zone.wire is None:
            continue
        if zone.wire in first:
            message = f"{zone.id!r} and {first[zone.wire].id!r} are both wire {zone.wire}"
            hint = "count the wires from the tip, or use one zone for both"
            yield Found(zone, Problem(zone.place.of("wire"), NAME, message, hint, SEVERITY))
        first.setdefault(zone.wire, zone)
