"""The most telling trials that a ruleset lacks, for its author to judge.

Two causes that want different remedies and share a symptom are a confusion; what it may cost is how
common the two are, times the remedy done in vain. A trial tells them apart when it expects one of them
although the other shows something that it answers yes. For each confusion that no trial tells apart,
the smallest set of further answers is sought that shifts the odds between the two by a factor of
`TELLING`, beside the symptom alone.

What is proposed is a case, never what should follow from it: the engine's own opinion is no test of
the engine.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations
from math import log
from typing import Final

from engine.cost import plain_cost
from engine.trial import is_judged
from kb.ids import FindingId
from kb.model import Answer, Cause, Remedy, Ruleset

TELLING: Final = 4.0
"""Factor by which answers must shift the odds between two causes."""
MOST_ANSWERS: Final = 3
"""Beside the symptom: what needs more is no plain case."""
MOST_TRIED: Final = 10
"""Findings that are tried in sets, the most telling ones."""

Told = tuple[FindingId, Answer]


@dataclass(frozen=True, slots=True)
class Proposal:
    """A case to be judged."""

    one: Cause
    other: Cause
    """The causes that it tells apart, by id."""
    given: tuple[Told, ...]
    sitting: int
    """From which everything given counts."""
    stakes: float
    """Minutes that confusing the two may cost, of an average reed: proposals come by it."""


@dataclass(frozen=True, slots=True)
class _Confusion:
    one: Cause
    other: Cause
    symptom: FindingId
    stakes: float


def proposals(ruleset: Ruleset) -> Iterator[Proposal]:
    """Give a case for each confusion that no trial tells apart, the dearest first."""
    seen: set[frozenset[Told]] = {frozenset(one.given) for trial in ruleset.trials for one in trial.rounds}
    for confusion in sorted(
        _confusions(ruleset), key=lambda each: (-each.stakes, each.one.id, each.other.id)
    ):
        answers = _smallest(ruleset, confusion)
        given = ((confusion.symptom, Answer.YES), *(answers or ()))
        if answers is None or frozenset(given) in seen:
            continue
        seen.add(frozenset(given))
        sitting = max(ruleset.finding[finding].counts_from_sitting for finding, _ in given)
        yield Proposal(confusion.one, confusion.other, given, sitting, confusion.stakes)


def is_told_apart(ruleset: Ruleset, one: Cause, other: Cause) -> bool:
    """Whether a trial expects one of two causes where the other shows something that is answered yes."""
    for trial in ruleset.trials:
        if not is_judged(trial) or trial.expect.cause not in {one.id, other.id}:
            continue
        rival = other if trial.expect.cause == one.id else one
        shown = {show.finding for show in rival.shows}
        if any(
            finding in shown and answer.is_present for each in trial.rounds for finding, answer in each.given
        ):
            return True
    return False


def _confusions(ruleset: Ruleset) -> Iterator[_Confusion]:
    best = {cause.id: _best_remedy(ruleset, cause) for cause in ruleset.causes}
    ordered = sorted(ruleset.causes, key=lambda cause: cause.id)
    for one, other in combinations(ordered, 2):
        here, there = best[one.id], best[other.id]
        if here == there or is_told_apart(ruleset, one, other):
            continue
        shared = _shared_symptoms(ruleset, one, other)
        if shared:
            overlap, symptom = max(shared, key=lambda pair: (pair[0], pair[1]))
            in_vain = one.how_common * _cost(ruleset, there) + other.how_common * _cost(ruleset, here)
            yield _Confusion(one, other, symptom, overlap * in_vain)


def _best_remedy(ruleset: Ruleset, cause: Cause) -> Remedy | None:
    mending = [
        (plain_cost(ruleset, operation) / effect.chance, operation.id)
        for operation in ruleset.operations
        for effect in operation.cures
        if effect.cause == cause.id
    ]
    return ruleset.operation[min(mending)[1]] if mending else None


def _cost(ruleset: Ruleset, remedy: Remedy | None) -> float:
    return 0.0 if remedy is None else plain_cost(ruleset, remedy)


def _shared_symptoms(ruleset: Ruleset, one: Cause, other: Cause) -> list[tuple[float, FindingId]]:
    """Give the findings with a priority that both show, each with the lesser of the two strengths."""
    there = {show.finding: show.strength for show in other.shows}
    return [
        (min(show.strength, there[show.finding]), show.finding)
        for show in one.shows
        if show.finding in there and ruleset.finding[show.finding].priority is not None
    ]


def _smallest(ruleset: Ruleset, confusion: _Confusion) -> tuple[Told, ...] | None:
    """Give the fewest answers that tell the two apart, of as few the most telling ones; None if none do.

    Each cause is taken alone: what an answer says between the two is then the logarithm of a ratio, and
    that of several answers their sum. Only answers that speak for the same one of the two are joined.
    """
    told = sorted(_weights(ruleset, confusion), key=lambda each: (-abs(each[0]), each[1]))[:MOST_TRIED]
    for size in range(1, MOST_ANSWERS + 1):
        sets = [
            each
            for each in combinations(told, size)
            if len({weight > 0.0 for weight, _ in each}) == 1
            and len({answer[0] for _, answer in each}) == size
        ]
        best = max(sets, key=lambda each: abs(sum(weight for weight, _ in each)), default=())
        if abs(sum(weight for weight, _ in best)) >= log(TELLING):
            return tuple(answer for _, answer in best)
    return None


def _weights(ruleset: Ruleset, confusion: _Confusion) -> Iterator[tuple[float, Told]]:
    """Give what each answer says for the one (above 0) or the other, beside the symptom that both show."""
    here = {show.finding: show.strength for show in confusion.one.shows}
    there = {show.finding: show.strength for show in confusion.other.shows}
    for finding in sorted((here.keys() | there.keys()) - {confusion.symptom}):
        leak = ruleset.finding[finding].leak
        shows, elsewhere = (
            1.0 - (1.0 - strengths.get(finding, 0.0)) * (1.0 - leak) for strengths in (here, there)
        )
        for answer, one, other in (
            (Answer.YES, shows, elsewhere),
            (Answer.NO, 1.0 - shows, 1.0 - elsewhere),
        ):
            if one > 0.0 and other > 0.0:
                yield log(one) - log(other), (finding, answer)
            elif one > 0.0 or other > 0.0:
                yield (1.0 if one > 0.0 else -1.0) * _CERTAIN, (finding, answer)


_CERTAIN: Final = 50.0
"""Weight of an answer that one of the two cannot give."""
