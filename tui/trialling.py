"""Trials in words: what was expected and what came instead, the same for a screen and for lines."""

from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from tui.words import per_cent

if TYPE_CHECKING:
    from engine.trial import Miss, TrialResult  # loads the numbers, which a wrong usage does not need

SHOWN: Final = 3
"""Causes told of a trial that failed."""


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


def believed_in_words(result: "TrialResult") -> Iterator[str]:
    """Say what was believed, what was proposed and why; the reasons name what would have come next."""
    advice = result.advice
    if advice.step is None:
        return
    causes = ", ".join(f"{cause} {per_cent(chance)}" for cause, chance in advice.belief.causes[:SHOWN])
    yield f"believed: {causes or 'nothing; the ruleset has no causes'}"
    yield f"proposed: {advice.step.kind} {advice.step.id}"
    yield from (f"because: {reason}" for reason in advice.step.why)
