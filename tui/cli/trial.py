"""`canebrake trial`: runs the worked cases that a ruleset's author wrote into it.

The exit code is 1 when any fails, 2 when a ruleset cannot be used at all.
"""

import argparse
from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from kb.model import Ruleset
from tui.cli.saying import Json, complain, tell, tell_json
from tui.draw.cells import hung
from tui.exit_code import ExitCode
from tui.shelf import ShelfError, usable_ruleset
from tui.trialling import miss_in_words
from tui.wiring import Surroundings
from tui.words import per_cent

if TYPE_CHECKING:
    from engine.trial import TrialResult

HELP: Final = "run the worked cases inside a ruleset"
SHOWN: Final = 3
"""Causes told of a trial that failed."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.add_argument(
        "rulesets", metavar="RULESET", nargs="+", help="a file, or the id of an installed ruleset"
    )
    parser.add_argument("--json", action="store_true", help="print the outcome as JSON")


def run(arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
    """Run all trials and say which failed, and how."""
    code = ExitCode.DONE
    usable: list[Ruleset] = []
    for said in arguments.rulesets:
        try:
            usable.append(usable_ruleset(said))
        except ShelfError as fault:
            complain(around, str(fault))
            code = ExitCode.COULD_NOT_START
    ran = [(ruleset, result) for ruleset in usable for result in _results(ruleset)]
    failed = sum(not result.passed for _, result in ran)
    if arguments.json:
        tell_json(
            around,
            {
                "trials": [_as_json(ruleset, result) for ruleset, result in ran],
                "passed": len(ran) - failed,
                "failed": failed,
            },
        )
    elif usable:
        for _, result in ran:
            for line in _lines(result):
                tell(around, hung(line, around.fold, 2 if line.startswith(" ") else 8))
        tell(around, [_sum(len(ran), failed)])
    return max(code, ExitCode.NO if failed else ExitCode.DONE)


def _results(ruleset: Ruleset) -> Iterator["TrialResult"]:
    from engine.trial import run_trial  # noqa: PLC0415 - loads the numbers, which a wrong usage does not need

    for trial in ruleset.trials:
        yield run_trial(ruleset, trial)


def _sum(ran: int, failed: int) -> str:
    if not ran:
        return "no trials"
    trials = "1 trial" if ran == 1 else f"{ran} trials"
    return f"{trials}: all passed" if not failed else f"{trials}: {ran - failed} passed, {failed} failed"


def _lines(result: "TrialResult") -> Iterator[str]:
    yield f"{'passed' if result.passed else 'FAILED'}  {result.trial.title}"
    for miss in result.misses:
        yield f"        {miss_in_words(miss)}"
    if result.misses and result.advice.step is not None:
        causes = result.advice.belief.causes[:SHOWN]
        believed = ", ".join(f"{cause} {per_cent(chance)}" for cause, chance in causes)
        yield f"        believed: {believed or 'nothing; the ruleset has no causes'}"
        yield from (f"        because: {reason}" for reason in result.advice.step.why[:1])


def _as_json(ruleset: Ruleset, result: "TrialResult") -> Json:
    advice = result.advice
    step = advice.step
    return {
        "ruleset": ruleset.id,
        "title": result.trial.title,
        "passed": result.passed,
        "misses": [
            {"part": miss.part.value, "expected": list(miss.expected), "found": list(miss.found)}
            for miss in result.misses
        ],
        "causes": [{"id": cause, "chance": chance} for cause, chance in advice.belief.causes],
        "priority": advice.priority,
        "step": None if step is None else {"kind": step.kind.value, "id": step.id, "why": list(step.why)},
    }
