"""`canebrake weigh`: belief and next step for a case told on the command line, without an interview."""

import argparse
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Final

from kb.disk import DiskError, read_bounded
from kb.model import GivenRound, Ruleset
from kb.rounds import LARGEST, answer_for, read_rounds, reading_for
from tui.cli.parser import WrongUsage
from tui.cli.saying import Json, complain, tell, tell_json
from tui.cli.weigh.weighed import account_as_json, account_lines, advice_lines, disagreement_lines
from tui.exit_code import ExitCode
from tui.shelf import ShelfError, ready_ruleset
from tui.wiring import Surroundings

if TYPE_CHECKING:
    from engine.account import Account
    from engine.case import Case
    from engine.step import Advice

HELP: Final = "weigh a case: what is likely, and what to do next"
MOST_SITTINGS: Final = 1000


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.add_argument("ruleset", metavar="RULESET", help="a file, or the id of an installed ruleset")
    add_case_arguments(parser)
    parser.add_argument("--json", action="store_true", help="print the whole weighing as JSON")
    parser.add_argument(
        "--why",
        action="store_true",
        help="also tell the weight of each answer, and which other answers would have led to another step",
    )


def add_case_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments that tell a case; `rounds_told` reads them."""
    parser.add_argument(
        "--given",
        metavar="ID=ANSWER",
        action="append",
        default=[],
        help="an answer in the present round: yes, slightly, no or unsure",
    )
    parser.add_argument(
        "--measure",
        metavar="QUANTITY=NUMBER",
        action="append",
        default=[],
        help="a reading in the present round",
    )
    parser.add_argument("--rounds", metavar="FILE", help="earlier rounds, as JSON, oldest first")
    parser.add_argument("--sitting", metavar="N", help="which sitting of the reed's life this is")


def run(arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
    """Weigh the case and say what follows."""
    try:
        ruleset = ready_ruleset(arguments.ruleset).ruleset
        rounds = rounds_told(ruleset, arguments)
    except (ShelfError, DiskError) as fault:
        complain(around, str(fault))
        return ExitCode.COULD_NOT_START
    from engine.advice import advise  # noqa: PLC0415 - loads the numbers, which a wrong usage does not need
    from engine.case import case_of_rounds  # noqa: PLC0415 - the same

    case = case_of_rounds(ruleset, rounds)
    advice = advise(ruleset, case)
    told = _account(ruleset, case, advice) if arguments.why else None
    if arguments.json:
        tell_json(around, _as_json(ruleset, advice) | (account_as_json(told) if told else {}))
    elif advice.step is None:
        tell(around, disagreement_lines(ruleset, advice, len(rounds)))
    else:
        tell(around, advice_lines(ruleset, advice, advice.step, around.width))
        if told is not None:
            tell(around, account_lines(ruleset, told, around.width))
    return ExitCode.NO if advice.step is None else ExitCode.DONE


def _account(ruleset: Ruleset, case: "Case", advice: "Advice") -> "Account | None":
    """Give the whole account of a step; none where the answers cannot all be true."""
    from engine.account import account  # noqa: PLC0415 - loads the numbers

    return None if advice.step is None else account(ruleset, case, advice.belief)


def rounds_told(ruleset: Ruleset, arguments: argparse.Namespace) -> tuple[GivenRound, ...]:
    """Put the rounds file and the present round together.

    Raises `WrongUsage` for what is wrong there, and `DiskError` when the file cannot be read.
    """
    rounds: tuple[GivenRound, ...] = ()
    if arguments.rounds is not None:
        read = read_rounds(ruleset, read_bounded(Path(arguments.rounds), LARGEST))
        if read.problems:
            raise WrongUsage(f"{arguments.rounds}: {'; '.join(read.problems)}")
        rounds = read.rounds
    if not rounds or rounds[-1].then is not None:
        rounds = (*rounds, GivenRound())
    *earlier, present = rounds
    given, measured = dict(present.given), dict(present.measure)
    for said in arguments.given:
        answer = answer_for(ruleset, *_pair(said, "--given", "ID=ANSWER"))
        if isinstance(answer, str):
            raise WrongUsage(answer)
        given[answer[0]] = answer[1]
    for said in arguments.measure:
        quantity, number = _pair(said, "--measure", "QUANTITY=NUMBER")
        reading = reading_for(ruleset, quantity, _number(quantity, number))
        if isinstance(reading, str):
            raise WrongUsage(reading)
        measured[reading[0]] = reading[1]
    present = replace(present, given=tuple(given.items()), measure=tuple(measured.items()))
    if arguments.sitting is not None:
        present = replace(present, sitting=_sitting(ruleset, earlier, arguments.sitting))
    return (*earlier, present)


def _pair(said: str, option: str, shape: str) -> tuple[str, str]:
    name, sign, value = said.partition("=")
    if not sign or not name or not value:
        raise WrongUsage(f"{option} takes {shape}, not {said!r}")
    return name.strip(), value.strip()


def _number(quantity: str, text: str) -> float:
    try:
        # Underscores and the like are Python's, not a maker's.
        return float(text) if "_" not in text else float("")
    except ValueError:
        raise WrongUsage(f"{quantity} needs a number, not {text!r}") from None


def _sitting(ruleset: Ruleset, earlier: Sequence[GivenRound], text: str) -> int:
    if not (text.isascii() and text.isdigit() and 1 <= int(text[:6]) <= MOST_SITTINGS):
        raise WrongUsage(f"--sitting takes a whole number from 1 to {MOST_SITTINGS}, not {text!r}")
    from engine.case import case_of_rounds  # noqa: PLC0415 - needed only here and later

    number = int(text)
    before = case_of_rounds(ruleset, (*earlier, GivenRound())).sitting if earlier else 1
    if number < before:
        raise WrongUsage(f"--sitting {number} cannot be: with the rounds before it, this is sitting {before}")
    return number


def _as_json(ruleset: Ruleset, advice: "Advice") -> dict[str, Json]:
    belief, step = advice.belief, advice.step
    if step is None:
        return {
            "ruleset": ruleset.id,
            "version": ruleset.version,
            "exact": belief.exact,
            "evidence": 0,
            "unlisted": None,
            "causes": [],
            "priority": None,
            "step": None,
            "ranked": [],
            "disagree": [[number, finding] for number, finding in advice.disagree],
        }
    return {
        "ruleset": ruleset.id,
        "version": ruleset.version,
        "exact": belief.exact,
        "evidence": belief.evidence,
        "unlisted": belief.unlisted,
        "causes": [{"id": cause, "chance": chance} for cause, chance in belief.causes],
        "priority": advice.priority,
        "step": {"kind": step.kind.value, "id": step.id, "why": list(step.why)},
        "ranked": [{"kind": one.kind.value, "id": one.id, "cost": one.cost} for one in advice.ranked],
    }
