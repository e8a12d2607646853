"""Finds tools and zones that nothing uses."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Ruleset, Tool, Zone
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("unused-entry")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each tool that no remedy takes, and each zone that nothing lies in.

    A quantity may be measured for the log alone.
    """
    tools = {operation.tool for operation in ruleset.operations}
    zones = {operation.zone for operation in ruleset.operations}
    zones |= {cause.zone for cause in ruleset.causes} | {finding.zone for finding in ruleset.findings}
    for tool in ruleset.tools:
        if tool.id not in tools:
            yield _unused(tool, "no remedy takes it into the hand", "name it as the tool of a remedy")
    for zone in ruleset.zones:
        if zone.id not in zones:
            yield _unused(zone, "nothing lies there", "name it as the zone of a cause or a remedy")


def _unused(entry: Tool | Zone, why: str, hint: str) -> Found:
    message = f"{entry.id!r} is used nowhere: {why}"
    return Found(entry, Problem(entry.place.key, NAME, message, f"{hint}, or take this out", SEVERITY))
