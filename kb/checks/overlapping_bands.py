"""Finds two signs on one quantity that contradict each other and can both be so."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Edge, Finding, QuantityRead, Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("overlapping-bands")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each sign below a number that lies above the number of a sign on the other side."""
    lowest: dict[str, tuple[float, Finding]] = {}
    for sign in ruleset.signs:
        read = sign.read
        if isinstance(read, QuantityRead) and read.edge is Edge.ABOVE:
            lowest[read.quantity] = min(
                lowest.get(read.quantity, (read.high, sign)), (read.high, sign), key=lambda pair: pair[0]
            )
    for sign in ruleset.signs:
        read = sign.read
        if not isinstance(read, QuantityRead) or read.edge is not Edge.BELOW:
            continue
        number, other = lowest.get(read.quantity, (read.low, sign))
        if read.low > number:
            between = f"a reading between {number:g} and {read.low:g}"
            message = f"{between} makes both {other.id!r} and {sign.id!r} show"
            hint = f"let this number be at most {number:g}"
            yield Found(sign, Problem(sign.place.of("read", "below"), NAME, message, hint, SEVERITY))
