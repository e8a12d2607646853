"""What the worked cases of an author say. Shared by the checks on trials."""

from kb.checks.found import Entry
from kb.ids import FindingId, RemedyId
from kb.model import Answer, GivenRound, Ruleset, Trial

Case = tuple[
    tuple[frozenset[tuple[str, Answer]], frozenset[tuple[str, float]], RemedyId | None, int | None], ...
]
"""The rounds of a trial, whatever the order in which their answers are written."""


def case_of(trial: Trial) -> Case:
    """Give what was found, so that two trials can be compared."""
    return tuple(
        (frozenset(one.given), frozenset(one.measure), one.then, one.sitting) for one in trial.rounds
    )


def is_whole(trial: Trial) -> bool:
    """Whether the trial has rounds, and no answer of them was lost because it named nothing."""
    value = trial.place.value
    rounds = value.get("rounds")
    written = [one.get("given") for one in (rounds.items() if rounds is not None else (value,))]
    answers = sum(len(given.pairs()) for given in written if given is not None)
    return bool(trial.rounds) and answers == sum(len(one.given) for one in trial.rounds)


def latest_answers(trial: Trial) -> dict[FindingId, Answer]:
    """Give the latest answer to each finding that said anything."""
    return {name: answer for one in trial.rounds for name, answer in one.given if answer.is_told}


def present_round(trial: Trial) -> GivenRound:
    """Give the round in which a step is expected; after a remedy it is an empty one."""
    last = trial.rounds[-1] if trial.rounds else GivenRound()
    return GivenRound() if last.then is not None else last


def owner(ruleset: Ruleset, trial: Trial) -> Entry | None:
    """Give the entry on which a fault of this trial may be allowed: what it expects.

    A trial is a list item and carries no `allow` of its own.
    """
    if trial.expect.cause is not None:
        return ruleset.cause[trial.expect.cause]
    for name in (*trial.expect.step, *trial.expect.not_step):
        found = ruleset.operation.get(RemedyId(name)) or ruleset.finding.get(FindingId(name))
        if found is not None:
            return found
    return None
