"""Finds trials that expect a step which the case itself rules out."""

from collections.abc import Iterator
from typing import Final

from kb.checks.cases import latest_answers, owner, present_round
from kb.checks.found import Found
from kb.ids import FindingId, RemedyId
from kb.model import Answer, Ruleset, Trial
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("trial-expects-forbidden")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at `step` where none of the steps that it names can be taken."""
    for trial in ruleset.trials:
        if not trial.expect.step or not trial.rounds:
            continue
        answers = latest_answers(trial)
        why = [_ruled_out(ruleset, trial, answers, name) for name in trial.expect.step]
        if all(why):
            message = f"the trial {trial.title!r} expects {trial.expect.step[0]!r}, and {why[0]}"
            hint = "change what was found, or what is expected"
            span = trial.place.of("expect", "step")
            yield Found(owner(ruleset, trial), Problem(span, NAME, message, hint, SEVERITY))


def _ruled_out(ruleset: Ruleset, trial: Trial, answers: dict[FindingId, Answer], name: str) -> str:
    """Say why the step cannot be taken, or nothing."""
    operation = ruleset.operation.get(RemedyId(name))
    if operation is None:
        given = dict(present_round(trial).given)
        return "it is answered already" if FindingId(name) in given else ""
    forbidding = next((one for one in operation.unless if one in answers and answers[one].is_present), None)
    return f"{forbidding!r}, which forbids it, shows" if forbidding is not None else ""
