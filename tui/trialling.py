"""Trials in words: what was expected and what came instead, the same for a screen and for lines."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from engine.trial import Miss  # loads the numbers, which a wrong usage does not need


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
