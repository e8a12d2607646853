"""What a step costs, in minutes of the maker's time: its own, what it stakes, what it may provoke."""

from collections.abc import Callable
from math import fsum

from kb.ids import CauseId
from kb.model import Cause, Remedy, Ruleset


def plain_cost(ruleset: Ruleset, operation: Remedy) -> float:
    """Give minutes, rechecks and stakes, without what it may provoke."""
    rechecks = fsum(ruleset.finding[finding].minutes for finding in operation.recheck)
    return operation.minutes + rechecks + ruleset.stakes.of(operation.undo)


def price_of(ruleset: Ruleset, cause: Cause) -> float:
    """Give what it would cost if this cause came to be: the cheapest mending, per chance that it works.

    At most the largest worth among the priorities whose symptoms it shows; that worth if nothing
    mends it; nothing if it shows none.
    """
    priorities = {ruleset.finding[show.finding].priority for show in cause.shows}
    worth = max((one.worth for one in ruleset.priorities if one.id in priorities), default=0.0)
    mending = (
        plain_cost(ruleset, operation) / effect.chance
        for operation in ruleset.operations
        for effect in operation.cures
        if effect.cause == cause.id
    )
    return min(worth, min(mending, default=worth))


def full_cost(ruleset: Ruleset, operation: Remedy, believed: Callable[[CauseId], float]) -> float:
    """Give the whole cost of doing `operation` now; `believed` gives a cause's chance."""
    trouble = fsum(
        effect.chance * (1.0 - believed(effect.cause)) * price_of(ruleset, ruleset.cause[effect.cause])
        for effect in operation.provokes
    )
    return plain_cost(ruleset, operation) + trouble
