"""Readings as the screen asks for them: read from what was typed, refused when they cannot be meant.

Units and decimal commas are `kb.units`' business; limits and targets are the quantity's.
"""

from dataclasses import dataclass

from kb.model import Quantity
from kb.units import Length, number_shown, shown, typed
from tui.language import worded
from tui.plain.cards import usual_size


@dataclass(frozen=True, slots=True)
class Slip:
    """A reading that cannot be meant, and what to say about it."""

    sentence: str


def read_number(text: str, quantity: Quantity, length: Length) -> float | Slip:
    """Give what was typed, in the quantity's own unit, or say what is wrong with it."""
    value = typed(text, quantity.unit, length)
    if value is None:
        return Slip(worded("A number is wanted here, such as {example}.", example=example(quantity, length)))
    if quantity.limits is not None and not quantity.limits[0] <= value <= quantity.limits[1]:
        low, high = quantity.limits
        said = shown(value, quantity.unit, length)
        return Slip(
            worded(
                "{said} cannot be meant: it lies between {low} and {high}.",
                said=said,
                low=number_shown(low, quantity.unit, length),
                high=shown(high, quantity.unit, length),
            )
        )
    return value


def show_target(quantity: Quantity, length: Length) -> str:
    """Write the target range, or nothing where the ruleset gives none."""
    if quantity.target is None:
        return ""
    low, high = quantity.target
    return worded(
        "{low} to {high}",
        low=number_shown(low, quantity.unit, length),
        high=shown(high, quantity.unit, length),
    )


def example(quantity: Quantity, length: Length) -> str:
    """Give a number of the size that is wanted."""
    return shown(usual_size(quantity), quantity.unit, length)
