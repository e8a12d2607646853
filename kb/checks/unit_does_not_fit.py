"""Finds units in which such a thing is not measured."""

from collections.abc import Iterator
from typing import Final

from kb.checks.asked import english_words
from kb.checks.found import Found
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("unit-does-not-fit")
SEVERITY: Final = Severity.WARNING


_LENGTHS: Final = frozenset({"mm", "cm", "m", "µm", "μm", "in", "thou"})
_MASSES: Final = frozenset({"g", "mg", "kg", "oz"})
_PITCHES: Final = frozenset({"Hz", "kHz", "cent"})
_HEATS: Final = frozenset({"°C", "°F", "K"})
_TIMES: Final = frozenset({"s", "min", "h", "d"})
_KNOWN: Final = _LENGTHS | _MASSES | _PITCHES | _HEATS | _TIMES | {"%"}
_FITTING: Final = {
    **dict.fromkeys(("thickness", "width", "length", "height", "diameter", "distance", "gap"), _LENGTHS),
    **dict.fromkeys(("weight", "mass"), _MASSES),
    **dict.fromkeys(("pitch", "frequency"), _PITCHES),
    "temperature": _HEATS,
    "humidity": frozenset({"%"}),
}


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each unit of another kind than the last English word of its quantity's title."""
    if ruleset.language.partition("-")[0].lower() != "en":
        return
    for quantity in ruleset.quantities:
        words = english_words(quantity.title)
        fitting = _FITTING.get(words[-1]) if words else None
        if fitting is not None and quantity.unit in _KNOWN - fitting:
            message = f"{quantity.title!r} is said to be measured in {quantity.unit}"
            hint = f"write one such as {min(fitting, key=len)}, or call it something else"
            yield Found(quantity, Problem(quantity.place.of("unit"), NAME, message, hint, SEVERITY))
