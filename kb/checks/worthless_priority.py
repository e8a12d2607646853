"""Finds priorities that are worth less than anything that could be done for them."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.ids import CauseId, PriorityId
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("worthless-priority")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each worth that the cheapest remedy for it already exceeds."""
    costs: dict[CauseId, float] = {}
    for operation in ruleset.operations:
        cost = operation.minutes + ruleset.stakes.of(operation.undo)
        for effect in operation.cures:
            costs[effect.cause] = min(cost, costs.get(effect.cause, cost))
    least: dict[PriorityId, float] = {}
    for cause in ruleset.causes:
        if cause.id not in costs:
            continue
        for show in cause.shows:
            ranked = ruleset.finding[show.finding].priority
            if ranked is not None:
                least[ranked] = min(costs[cause.id], least.get(ranked, costs[cause.id]))
    for priority in ruleset.priorities:
        if priority.id in least and priority.worth <= least[priority.id]:
            cost = least[priority.id]
            message = (
                f"{priority.id!r} is worth {priority.worth:g} minutes, and its cheapest remedy costs {cost:g}"
            )
            hint = "its minutes and stakes together; nothing would ever be done, so raise the worth"
            yield Found(priority, Problem(priority.place.of("worth"), NAME, message, hint, SEVERITY))
