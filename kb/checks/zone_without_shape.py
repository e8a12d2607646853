"""Finds zones that are not drawn, among others that are."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("zone-without-shape")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each zone without polygon and wire, where another zone has one."""
    if not any(zone.polygon or zone.wire is not None for zone in ruleset.zones):
        return
    for zone in ruleset.zones:
        if not zone.polygon and zone.wire is None and zone.place.value.get("polygon") is None:
            message = f"{zone.id!r} has no shape, so it cannot be shown on the reed like the others"
            yield Found(zone, Problem(zone.place.key, NAME, message, "write polygon, or wire", SEVERITY))
