"""Finds remedies that another one beats on every count, so that no case is left in which to do them."""

from collections.abc import Iterator
from typing import Final

from engine.cost import plain_cost
from engine.network import change_of, network_of
from engine.review.sample import Sample
from kb.checks.found import Found
from kb.ids import CauseId
from kb.model import Effect, Remedy, Ruleset, Undo
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("beaten-remedy")
_UNDONE: Final = (Undo.NEVER, Undo.PARTLY, Undo.FULLY)
"""From bad to good."""


def judge(sample: Sample) -> Iterator[Found]:
    """Point at each remedy that another one beats."""
    for beaten in sample.ruleset.operations:
        rivals = (one for one in sample.ruleset.operations if _beats(sample.ruleset, one, beaten))
        better = next(rivals, None)
        if better is not None:
            message = (
                f"{better.id!r} mends all that {beaten.id!r} mends, at least as surely, for no more time, "
                "risk or harm, and is better in something"
            )
            hint = f"leave {beaten.id!r} out, or say where it is the better one: what it mends, spares, takes"
            yield Found(beaten, Problem(beaten.place.key, NAME, message, hint, Severity.WARNING))


def _beats(ruleset: Ruleset, one: Remedy, other: Remedy) -> bool:
    if one.id == other.id or one.is_rest != other.is_rest or not other.cures:
        return False
    # Rests of different length are for different days, whatever they mend.
    if one.is_rest and (one.hours > other.hours or one.new_sitting != other.new_sitting):
        return False
    pairs = [*_counts(ruleset, one, other)]
    return all(here >= there for here, there in pairs) and any(here > there for here, there in pairs)


def _counts(ruleset: Ruleset, one: Remedy, other: Remedy) -> Iterator[tuple[float, float]]:
    """Give each count of the two, more being better."""
    for cause in _causes(one.cures, other.cures):
        yield _chance(one.cures, cause), _chance(other.cures, cause)
    for cause in _causes(one.provokes, other.provokes):
        yield -_brings(ruleset, one, cause), -_brings(ruleset, other, cause)
    yield -one.minutes, -other.minutes
    yield -plain_cost(ruleset, one), -plain_cost(ruleset, other)
    yield _UNDONE.index(one.undo), _UNDONE.index(other.undo)
    yield -one.from_sitting, -other.from_sitting
    yield one.at_most, other.at_most
    for finding in {*one.unless, *other.unless}:
        yield -(finding in one.unless), -(finding in other.unless)
    for earlier in {*one.after, *other.after}:
        yield -(earlier in one.after), -(earlier in other.after)


def _brings(ruleset: Ruleset, operation: Remedy, cause: CauseId) -> float:
    """Give the chance that an operation brings a cause; a night brings some of its own, unless it says."""
    if not operation.new_sitting:
        return _chance(operation.provokes, cause)
    network = network_of(ruleset)
    effects = network.effect_of(operation.id)
    number = network.causes.index(cause)
    return change_of(network, number, effects, new_sitting=operation.new_sitting)[1]


def _causes(*effects: tuple[Effect, ...]) -> set[CauseId]:
    return {effect.cause for some in effects for effect in some}


def _chance(effects: tuple[Effect, ...], cause: CauseId) -> float:
    return next((effect.chance for effect in effects if effect.cause == cause), 0.0)
