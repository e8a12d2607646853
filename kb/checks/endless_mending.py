"""Finds causes whose every remedy brings on the next, round in a circle."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.ids import CauseId
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("endless-mending")
SEVERITY: Final = Severity.WARNING


_LIKELY: Final = 0.25
"""Chance of getting round once from which somebody will go round for a long time."""
_STEPS: Final = 20_000
"""Links followed in one run; a tangle made to hurt has more ways round than anyone can name."""


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at the first cause of each circle that is as likely as 1 in 4 to close."""
    onward = _onward(ruleset)
    steps = 0
    for cause in ruleset.causes:
        ahead: list[tuple[tuple[CauseId, ...], float]] = [((cause.id,), 1.0)]
        while ahead and steps < _STEPS:
            way, chance = ahead.pop()
            for then, brings in onward.get(way[-1], ()):
                steps += 1
                closing = chance * brings
                if closing < _LIKELY:
                    continue
                if then == cause.id:
                    if ruleset.cause[min(way, key=lambda id_: ruleset.cause[id_].place.key)] is not cause:
                        continue
                    chain = ", then ".join(repr(one) for one in (*way, then))
                    message = f"whatever mends one of these brings on the next: {chain}"
                    hint = "write a remedy for one of them that does not bring on the next, or lower a chance"
                    yield Found(cause, Problem(cause.place.key, NAME, message, hint, SEVERITY))
                elif then not in way:
                    ahead.append(((*way, then), closing))


def _onward(ruleset: Ruleset) -> dict[CauseId, tuple[tuple[CauseId, float], ...]]:
    """Give, for each cause, what every one of its remedies provokes, with the least such chance."""
    brought: dict[CauseId, dict[CauseId, float]] = {}
    for operation in ruleset.operations:
        provokes = {effect.cause: effect.chance for effect in operation.provokes if effect.chance >= _LIKELY}
        for effect in operation.cures:
            earlier = brought.get(effect.cause)
            brought[effect.cause] = (
                provokes
                if earlier is None
                else {c: min(x, provokes[c]) for c, x in earlier.items() if c in provokes}
            )
    return {cause: tuple(into.items()) for cause, into in brought.items() if into}
