"""Trials in words: what was expected and what came instead, the same for a screen and for lines."""

from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from kb.model import Ruleset
from tui.words import minutes, per_cent

if TYPE_CHECKING:
    from engine.trial import Miss, TrialResult  # loads the numbers, which a wrong usage does not need

SHOWN: Final = 3
"""Causes told of a trial that failed, and answers that speak of the likeliest."""


def miss_in_words(miss: "Miss") -> str:
    """Say one expectation that was not met."""
    from engine.trial import Part  # noqa: PLC0415 - already loaded when there is a miss

    wanted = " or ".join(miss.expected)
    found = ", ".join(miss.found)
    match miss.part:
        case Part.GIVEN:
            return f"the answers cannot all be true together: {found or 'those given'}"
        case Part.CAUSE:
            return f"expected the cause {wanted}; {found or 'none'} is more likely"
        case Part.STEP:
            return f"expected {wanted}; proposed: {found}"
        case Part.NOT_STEP:
            return f"proposed {found}, which the trial rules out"
        case Part.PRIORITY:
            return f"expected {wanted or 'every priority clear'}; active: {found or 'none, all are clear'}"


def believed_in_words(ruleset: Ruleset, result: "TrialResult") -> Iterator[str]:
    """Say what was believed, what was proposed, and why; and how near what was expected came.

    The reasons of a step name what would have come next.
    """
    from engine.case import case_of_rounds  # noqa: PLC0415 - already loaded when there is a result
    from engine.explain import reasons, weight_in_words  # noqa: PLC0415 - only what failed is explained

    advice, expect = result.advice, result.trial.expect
    if advice.step is None:
        return
    told = advice.belief.causes[:SHOWN]
    told += tuple(pair for pair in advice.belief.causes[SHOWN:] if pair[0] == expect.cause)
    causes = ", ".join(f"{cause} {per_cent(chance)}" for cause, chance in told)
    yield f"believed: {causes or 'nothing; the ruleset has no causes'}"
    several = len(result.trial.rounds) > 1
    for leading in reasons(ruleset, case_of_rounds(ruleset, result.trial.rounds), 1):
        spoken = [
            f"{weight.finding} {weight.answer}{f' in round {weight.round}' if several else ''}"
            f" ({weight_in_words(weight.nats)})"
            for weight in leading.weights[:SHOWN]
        ]
        yield f"speaking of {leading.cause}: {', '.join(spoken) or 'nothing but how common it is'}"
    yield f"proposed: {advice.step.kind} {advice.step.id}"
    yield from (f"because: {reason}" for reason in advice.step.why)
    costs = {one.id: one.cost for one in advice.ranked if one.cost is not None}
    least = min(costs.values(), default=0.0)
    for id_ in expect.step:
        if id_ in costs and id_ != advice.step.id:
            yield f"weighed as well: {id_}, {minutes(costs[id_] - least)} more"
