"""Finds targets that are too narrow to be measured."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("target-narrower-than-precision")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each target that is narrower than one reading is uncertain, to either side."""
    for quantity in ruleset.quantities:
        target, precision = quantity.target, quantity.precision
        if target is not None and precision is not None and target[1] - target[0] < 2 * precision:
            wide = f"the target of {quantity.id!r} is {target[1] - target[0]:g} wide"
            message = f"{wide}, and a reading is off by {precision:g} either way"
            hint = "widen the target, or give the precision that your gauge has"
            yield Found(quantity, Problem(quantity.place.of("target"), NAME, message, hint, SEVERITY))
