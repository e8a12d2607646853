"""The parts of a ruleset that a trial can exercise, each with its place and the ruleset without it."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import StrEnum

from kb.ids import CauseId, FindingId, RemedyId
from kb.model import Cause, Remedy, Ruleset
from kb.text import Span


class Sort(StrEnum):
    """What sort of part it is."""

    SHOWS = "shows"
    """A cause makes a finding show."""
    CURES = "cures"
    """An operation mends a cause."""
    UNLESS = "unless"
    """A finding forbids an operation."""
    AFTER = "after"
    """An operation waits for another."""
    REMEDY = "remedy"
    REST = "rest"
    """An operation as a whole."""
    BRANCH = "branch"
    """A way on from a question of a chart."""


@dataclass(frozen=True, slots=True)
class Part:
    """One part."""

    sort: Sort
    of: str
    """The entry that says it: a cause, an operation, a chart."""
    to: str
    """What it says it of; for a branch the step and the answer; empty for an operation as a whole."""
    span: Span


def parts_of(ruleset: Ruleset) -> tuple[Part, ...]:
    """Give all parts but the branches of charts, in the order of the file."""
    found = [part for cause in ruleset.causes for part in _of_cause(cause)]
    found += [part for operation in ruleset.operations for part in _of_operation(operation)]
    return tuple(sorted(found, key=lambda part: (part.span, part.sort, part.of, part.to)))


def without(ruleset: Ruleset, part: Part) -> Ruleset:
    """Give the ruleset without a part. An operation as a whole is kept, but never allowed, and does nothing.

    Raises ValueError for the branch of a chart, which the engine does not go by.
    """
    match part.sort:
        case Sort.SHOWS:
            return _with_cause(ruleset, _unshown(ruleset.cause[CauseId(part.of)], FindingId(part.to)))
        case Sort.CURES:
            operation = ruleset.operation[RemedyId(part.of)]
            cures = tuple(effect for effect in operation.cures if effect.cause != part.to)
            return _with_operation(ruleset, replace(operation, cures=cures))
        case Sort.UNLESS:
            operation = ruleset.operation[RemedyId(part.of)]
            unless = tuple(finding for finding in operation.unless if finding != part.to)
            return _with_operation(ruleset, replace(operation, unless=unless))
        case Sort.AFTER:
            operation = ruleset.operation[RemedyId(part.of)]
            after = tuple(earlier for earlier in operation.after if earlier != part.to)
            return _with_operation(ruleset, replace(operation, after=after))
        case Sort.REMEDY | Sort.REST:
            idle = replace(ruleset.operation[RemedyId(part.of)], cures=(), provokes=(), at_most=0)
            return _with_operation(ruleset, idle)
        case Sort.BRANCH:
            raise ValueError("no advice goes by a chart, so nothing changes without its branch")


def _of_cause(cause: Cause) -> Iterator[Part]:
    for show in cause.shows:
        yield Part(Sort.SHOWS, cause.id, show.finding, cause.place.key_of("shows", show.finding))


def _of_operation(operation: Remedy) -> Iterator[Part]:
    place = operation.place
    yield Part(Sort.REST if operation.is_rest else Sort.REMEDY, operation.id, "", place.key)
    for effect in operation.cures:
        yield Part(Sort.CURES, operation.id, effect.cause, place.key_of("cures", effect.cause))
    for number, finding in enumerate(operation.unless):
        yield Part(Sort.UNLESS, operation.id, finding, place.of("unless", number))
    for number, earlier in enumerate(operation.after):
        yield Part(Sort.AFTER, operation.id, earlier, place.of("after", number))


def _unshown(cause: Cause, finding: FindingId) -> Cause:
    return replace(cause, shows=tuple(show for show in cause.shows if show.finding != finding))


def _with_cause(ruleset: Ruleset, changed: Cause) -> Ruleset:
    return replace(
        ruleset, causes=tuple(changed if cause.id == changed.id else cause for cause in ruleset.causes)
    )


def _with_operation(ruleset: Ruleset, changed: Remedy) -> Ruleset:
    operations = tuple(changed if one.id == changed.id else one for one in ruleset.operations)
    return replace(ruleset, operations=operations)
