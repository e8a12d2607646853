"""Finds signs that show although the reading is on target."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Edge, QuantityRead, Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("sign-within-target")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each number that a good reading passes."""
    for sign in ruleset.signs:
        read = sign.read
        if not isinstance(read, QuantityRead) or read.edge is Edge.OUTSIDE:
            continue
        target = ruleset.quantity[read.quantity].target
        if target is None or not (read.high < target[1] if read.edge is Edge.ABOVE else read.low > target[0]):
            continue
        number = read.high if read.edge is Edge.ABOVE else read.low
        good = f"the target of {read.quantity!r} goes from {target[0]:g} to {target[1]:g}"
        message = f"{sign.id!r} shows {read.edge} {number:g}, though {good}"
        hint = f"write {read.edge}: target, or change the target"
        yield Found(sign, Problem(sign.place.of("read", read.edge), NAME, message, hint, SEVERITY))
