"""Finds remedies that take cane away and are said to be undone fully."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Hazard, Ruleset, Undo
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("cut-said-undone")
SEVERITY: Final = Severity.WARNING


_TAKES_AWAY: Final = frozenset({Hazard.BLADE, Hazard.ABRASIVE, Hazard.FILE, Hazard.REAMER})


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at `undo: fully` beside a tool that cuts, files, sands or reams."""
    for remedy in ruleset.remedies:
        tool = ruleset.tool.get(remedy.tool) if remedy.tool is not None else None
        written = remedy.place.value.get("undo")
        if written is None or written.data != Undo.FULLY:
            continue
        if tool is not None and tool.hazard in _TAKES_AWAY:
            message = f"{remedy.id!r} takes {tool.title!r} to the reed, and is said to be undone fully"
            hint = "write undo: never; cane does not grow back"
            yield Found(remedy, Problem(remedy.place.of("undo"), NAME, message, hint, SEVERITY))
