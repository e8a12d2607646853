"""`canebrake trial`: runs the worked cases that a ruleset's author wrote into it.

The exit code is 1 when any fails, 2 when a ruleset cannot be used at all. `--coverage` and `--propose`
say what the cases leave untested (`tui.cli.trial.coverage`, `tui.cli.trial.proposing`).
"""

import argparse
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Final

from kb.disk import DiskError, write_whole
from kb.model import Ruleset
from tui.cli.parser import WrongUsage
from tui.cli.saying import Json, complain, tell, tell_json
from tui.draw.cells import hung
from tui.draw.literal import literal
from tui.exit_code import ExitCode
from tui.shelf import ShelfError, usable_ruleset
from tui.trialling import believed_in_words, miss_in_words
from tui.wiring import Surroundings

if TYPE_CHECKING:
    from engine.trial import TrialResult

HELP: Final = "run the worked cases inside a ruleset; say what they leave untested"
PROPOSED: Final = 5
MOST_PROPOSED: Final = 1000


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.add_argument(
        "rulesets", metavar="RULESET", nargs="+", help="a file, or the id of an installed ruleset"
    )
    what = parser.add_mutually_exclusive_group()
    what.add_argument(
        "--coverage",
        action="store_true",
        help="say which links, remedies, conditions and chart ways no trial would miss",
    )
    what.add_argument(
        "--propose",
        metavar="N",
        nargs="?",
        const=str(PROPOSED),
        help=f"write the N ({PROPOSED}) most telling trials that are missing, for you to judge",
    )
    parser.add_argument("-o", dest="output", metavar="FILE", help="with --propose: where to write them")
    parser.add_argument("--json", action="store_true", help="print the outcome as JSON")


def run(arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
    """Run all trials and say which failed, and how; or say what they leave untested."""
    most = _how_many(arguments)
    code = ExitCode.DONE
    usable: list[Ruleset] = []
    for said in arguments.rulesets:
        try:
            usable.append(usable_ruleset(said))
        except ShelfError as fault:
            complain(around, str(fault))
            code = ExitCode.COULD_NOT_START
    if most is not None:
        return max(code, _propose(usable, most, arguments.output, around))
    if arguments.coverage:
        from tui.cli.trial.coverage import tell_coverage  # noqa: PLC0415 - the rarer of the two

        return max(code, tell_coverage(usable, around, as_json=arguments.json))
    return max(code, _run_all(usable, around, as_json=arguments.json))


def _how_many(arguments: argparse.Namespace) -> int | None:
    """Give how many trials to propose; None when none are asked for."""
    if arguments.propose is None:
        if arguments.output is not None:
            raise WrongUsage("-o goes with --propose")
        return None
    text = arguments.propose
    if not (text.isascii() and text.isdigit() and len(text) < 10 and 1 <= int(text) <= MOST_PROPOSED):
        hint = "; name the ruleset first" if not text.isdigit() else ""
        raise WrongUsage(f"--propose takes a whole number from 1 to {MOST_PROPOSED}, not {text!r}{hint}")
    if arguments.json:
        raise WrongUsage("--propose writes YAML, and goes without --json")
    if len(arguments.rulesets) > 1:
        raise WrongUsage("--propose takes one ruleset at a time: its trials belong into that one")
    return int(text)


def _propose(usable: list[Ruleset], most: int, output: str | None, around: Surroundings) -> ExitCode:
    from tui.cli.trial.proposing import proposed  # noqa: PLC0415 - the rarest of the three

    for ruleset in usable:
        lines = proposed(ruleset, most)
        if not lines:
            complain(around, f"the trials of {ruleset.id} tell apart all that can be told apart")
        elif output is None:
            tell(around, lines)
        else:
            try:
                write_whole(Path(output), "".join(f"{literal(line)}\n" for line in lines).encode())
            except DiskError as fault:
                complain(around, str(fault))
                return ExitCode.COULD_NOT_START
    return ExitCode.DONE


def _run_all(usable: list[Ruleset], around: Surroundings, *, as_json: bool) -> ExitCode:
    ran = [(ruleset, result) for ruleset in usable for result in _results(ruleset)]
    failed = sum(not result.passed for _, result in ran)
    unjudged = sum(result.passed and not result.is_judged for _, result in ran)
    if as_json:
        tell_json(
            around,
            {
                "trials": [_as_json(ruleset, result) for ruleset, result in ran],
                "passed": len(ran) - failed - unjudged,
                "failed": failed,
                "not_judged": unjudged,
            },
        )
    elif usable:
        for ruleset, result in ran:
            for line in _lines(ruleset, result):
                tell(around, hung(line, around.fold, 2 if line.startswith(" ") else 8))
        tell(around, [_sum(len(ran), failed, unjudged)])
    return ExitCode.NO if failed else ExitCode.DONE


def _results(ruleset: Ruleset) -> Iterator["TrialResult"]:
    from engine.trial import run_trial  # noqa: PLC0415 - loads the numbers, which a wrong usage does not need

    for trial in ruleset.trials:
        yield run_trial(ruleset, trial)


def _sum(ran: int, failed: int, unjudged: int) -> str:
    if not ran:
        return "no trials"
    trials = "1 trial" if ran == 1 else f"{ran} trials"
    counts = ((ran - failed - unjudged, "passed"), (failed, "failed"), (unjudged, "not judged"))
    said = ", ".join(f"{count} {word}" for count, word in counts if count)
    return f"{trials}: {'all passed' if not failed and not unjudged else said}"


def _lines(ruleset: Ruleset, result: "TrialResult") -> Iterator[str]:
    if result.passed and not result.is_judged:
        yield f"not judged  {result.trial.title}"
        yield "        nothing is expected: write what you would conclude or do"
        return
    yield f"{'passed' if result.passed else 'FAILED'}  {result.trial.title}"
    for miss in result.misses:
        yield f"        {miss_in_words(miss)}"
    if result.misses:
        yield from (f"        {line}" for line in believed_in_words(ruleset, result))


def _as_json(ruleset: Ruleset, result: "TrialResult") -> Json:
    advice = result.advice
    step = advice.step
    return {
        "ruleset": ruleset.id,
        "title": result.trial.title,
        "passed": result.passed,
        "judged": result.is_judged,
        "misses": [
            {"part": miss.part.value, "expected": list(miss.expected), "found": list(miss.found)}
            for miss in result.misses
        ],
        "causes": [{"id": cause, "chance": chance} for cause, chance in advice.belief.causes],
        "priority": advice.priority,
        "step": None if step is None else {"kind": step.kind.value, "id": step.id, "why": list(step.why)},
        "ranked": [{"kind": one.kind.value, "id": one.id, "cost": one.cost} for one in advice.ranked],
    }
