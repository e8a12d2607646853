"""Finds units that are spelt another way than the one that the tool knows."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Profile, Quantity, Ruleset
from kb.patch import over
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("unit-spelling")
SEVERITY: Final = Severity.WARNING


_MEANT: Final = {
    **dict.fromkeys(
        ("MM", "Mm", "mm.", "mms", "millimeter", "millimeters", "millimetre", "millimetres"), "mm"
    ),
    **dict.fromkeys(("Cm", "CM", "cm.", "centimeter", "centimeters", "centimetre", "centimetres"), "cm"),
    **dict.fromkeys(("inch", "inches", "Inch", "Inches", "in.", '"', "″"), "in"),
    **dict.fromkeys(("gram", "grams", "gramme", "grammes", "gr", "gr.", "G", "g."), "g"),
    **dict.fromkeys(("hz", "HZ", "hertz", "Hertz", "Hz."), "Hz"),
    **dict.fromkeys(("cents", "Cent", "Cents", "ct"), "cent"),
    **dict.fromkeys(("percent", "per cent", "Percent", "pct"), "%"),
    **dict.fromkeys(("C", "degC", "deg C", "° C", "celsius", "Celsius"), "°C"),
}


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each unit that has one usual spelling, and not this one."""
    measured: tuple[Quantity | Profile, ...] = (*ruleset.quantities, *ruleset.thickness)
    for entry in measured:
        meant = _MEANT.get(entry.unit)
        if meant is not None:
            message = f"the unit of {entry.id!r} is written {entry.unit!r}"
            hint = f"write {meant}: only then is it read, and turned into other units, wherever it is typed"
            span = entry.place.of("unit")
            mend = over(span, f"'{meant}'" if meant == "%" else meant)
            yield Found(entry, Problem(span, NAME, message, hint, SEVERITY, mend))
