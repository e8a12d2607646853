"""Finds cuts that come before something as good that can be undone."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.ids import CauseId
from kb.model import Remedy, Ruleset, Undo
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("cut-before-reversible")
SEVERITY: Final = Severity.WARNING


_COMPARED: Final = 50
"""Reversible remedies of one cause that are looked at."""


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each irreversible remedy with a reversible twin that costs more and need not come first."""
    gentle: dict[CauseId, list[Remedy]] = {}
    for remedy in ruleset.remedies:
        if remedy.undo is Undo.FULLY:
            for effect in remedy.cures:
                gentle.setdefault(effect.cause, []).append(remedy)
    for cut in ruleset.remedies:
        if cut.undo is not Undo.NEVER or not cut.cures:
            continue
        for twin in gentle.get(cut.cures[0].cause, ())[:_COMPARED]:
            if (
                twin.id not in cut.after
                and _is_as_good(twin, cut)
                and _cost(ruleset, twin) >= _cost(ruleset, cut)
            ):
                message = (
                    f"{cut.id!r} cannot be undone, and comes before {twin.id!r}, which can and cures as much"
                )
                hint = f"write after: [{twin.id}], or raise stakes"
                yield Found(cut, Problem(cut.place.of("undo"), NAME, message, hint, SEVERITY))
                break


def _is_as_good(twin: Remedy, cut: Remedy) -> bool:
    chances = {effect.cause: effect.chance for effect in twin.cures}
    return all(chances.get(effect.cause, 0.0) >= effect.chance for effect in cut.cures)


def _cost(ruleset: Ruleset, remedy: Remedy) -> float:
    return remedy.minutes + ruleset.stakes.of(remedy.undo)
