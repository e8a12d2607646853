"""Finds two remedies that can undo each other for ever: each is the best for what the other brings.

Where no other remedy helps, and the circle is likely to close, `endless-mending` says so already.
"""

from collections.abc import Iterator, Mapping
from itertools import combinations
from typing import Final

from engine.cost import plain_cost
from engine.review.sample import Sample
from kb.checks import endless_mending
from kb.checks.found import Found
from kb.ids import CauseId, RemedyId
from kb.model import Effect, Remedy, Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("remedies-in-circles")
LEAST_ROUND: Final = 0.05
"""Chance that one remedy brings the fault and the other brings it back, below which it runs out by itself."""


def judge(sample: Sample) -> Iterator[Found]:
    """Point at what the later of the two provokes."""
    first = _first_choices(sample.ruleset)
    told = {found.entry.id for found in endless_mending.check(sample.ruleset) if found.entry is not None}
    for one, other in combinations(sample.ruleset.operations, 2):
        brought, back = _brings(one, other, first), _brings(other, one, first)
        if brought is None or back is None or brought.chance * back.chance < LEAST_ROUND:
            continue
        if {brought.cause, back.cause} & told:
            continue
        message = (
            f"{one.id!r} mends {back.cause!r} and brings {brought.cause!r} ({_percent(brought.chance)}); "
            f"{other.id!r} mends that and brings {back.cause!r} back ({_percent(back.chance)}): "
            "by turns they can go on for ever"
        )
        hint = "give one of the two faults a better remedy, or lower what these provoke"
        span = other.place.key_of("provokes", back.cause)
        yield Found(other, Problem(span, NAME, message, hint, Severity.WARNING))


def _brings(one: Remedy, other: Remedy, first: Mapping[CauseId, RemedyId]) -> Effect | None:
    """Give the likeliest thing that `one` brings and that `other` is the first choice for."""
    brought = [
        effect for effect in one.provokes if effect.chance > 0.0 and first.get(effect.cause) == other.id
    ]
    return max(brought, key=lambda effect: (effect.chance, effect.cause), default=None)


def _first_choices(ruleset: Ruleset) -> dict[CauseId, RemedyId]:
    """Give for each cause the operation that mends it for the least cost per chance that it works."""
    found: dict[CauseId, tuple[float, RemedyId]] = {}
    for operation in ruleset.operations:
        for effect in operation.cures:
            price = (plain_cost(ruleset, operation) / effect.chance, operation.id)
            found[effect.cause] = min(price, found.get(effect.cause, price))
    return {cause: id_ for cause, (_, id_) in found.items()}


def _percent(chance: float) -> str:
    return f"{chance * 100:.0f} %"
