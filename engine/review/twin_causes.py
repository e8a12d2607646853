"""Finds causes that no question can tell apart although they want different remedies.

Two causes are compared each as if it were alone: what a reed with the one shows beside what a reed
with the other shows. How well answers can tell them apart is bounded by how far the two
distributions overlap: with overlap B, no rule that guesses between them is right more often than
(1 + sqrt(1 - B^2)) / 2. (A. Bhattacharyya 1943; C. Kraft 1955; both from memory.)
"""

from collections.abc import Iterator
from itertools import combinations
from math import prod, sqrt
from typing import Final

from engine.cost import plain_cost
from engine.review.sample import Sample
from kb.checks.found import Found
from kb.ids import FindingId, RemedyId
from kb.model import Cause, Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("twin-causes")
LEAST_TOLD: Final = 0.6
"""A guess between two causes that is right less often than this tells nothing worth having."""
NEAR: Final = 1e-9


def judge(sample: Sample) -> Iterator[Found]:
    """Point at the later of two causes that cannot be told apart."""
    ruleset = sample.ruleset
    best = {cause.id: _best_remedies(ruleset, cause) for cause in ruleset.causes}
    for one, other in combinations(ruleset.causes, 2):
        if not one.shows or not other.shows or not _want_different(best[one.id], best[other.id]):
            continue
        told = best_guess(ruleset, one, other)
        if told < LEAST_TOLD:
            message = f"no question tells {other.id!r} from {one.id!r}, and they want different remedies; "
            message += (
                "they show the same"
                if told <= 0.5 + NEAR
                else f"with everything answered, a guess is right {told * 100:.0f} % of the time at most"
            )
            hint = "say what only one of them shows, or make them one cause"
            yield Found(other, Problem(other.place.key_of("shows"), NAME, message, hint, Severity.WARNING))


def best_guess(ruleset: Ruleset, one: Cause, other: Cause) -> float:
    """Give how often, at most, any rule that sees all findings guesses rightly between two causes."""
    here = {show.finding: show.strength for show in one.shows}
    there = {show.finding: show.strength for show in other.shows}
    overlap = prod(
        _overlap(_shows(ruleset, here, finding), _shows(ruleset, there, finding))
        for finding in sorted(here.keys() | there.keys())
    )
    return (1.0 + sqrt(max(0.0, 1.0 - overlap * overlap))) / 2.0


def _shows(ruleset: Ruleset, strengths: dict[FindingId, float], finding: FindingId) -> float:
    return 1.0 - (1.0 - strengths.get(finding, 0.0)) * (1.0 - ruleset.finding[finding].leak)


def _overlap(here: float, there: float) -> float:
    return sqrt(here * there) + sqrt((1.0 - here) * (1.0 - there))


def _best_remedies(ruleset: Ruleset, cause: Cause) -> frozenset[RemedyId]:
    """Give the operations that mend `cause` for the least cost per chance that they work."""
    prices = {
        operation.id: plain_cost(ruleset, operation) / effect.chance
        for operation in ruleset.operations
        for effect in operation.cures
        if effect.cause == cause.id
    }
    least = min(prices.values(), default=0.0)
    return frozenset(id_ for id_, price in prices.items() if price <= least * (1.0 + NEAR))


def _want_different(one: frozenset[RemedyId], other: frozenset[RemedyId]) -> bool:
    # One remedy that is the best for both serves a maker who cannot know which it is; and where
    # nothing mends either, there is nothing to know it for.
    return bool(one | other) and not one & other
