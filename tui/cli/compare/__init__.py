"""`canebrake compare`: what differs between two rulesets, in meaning and in what they advise.

The question is whether they mean the same: exit code 0 says yes, 1 no, 2 that one of them cannot
be used, 130 that trying their advice was interrupted; what was found until then is told.
"""

import argparse
from typing import TYPE_CHECKING, Final

from kb.compare.changes import Comparison, compare
from tui.cli.compare.report import Side, comparison_json, comparison_lines
from tui.cli.parser import whole_number
from tui.cli.progress import Progress
from tui.cli.saying import complain, tell, tell_json
from tui.exit_code import ExitCode
from tui.shelf import ShelfError, usable_ruleset
from tui.wiring import Surroundings, chance_of

if TYPE_CHECKING:
    from tui.cli.compare.advice import Tried

HELP: Final = (
    "say what differs between two rulesets, by entry and not by line, and where they advise otherwise"
)
REEDS: Final = 12
SECONDS: Final = 120
MOST_REEDS: Final = 10_000
MOST_SECONDS: Final = 86_400
LARGEST_SEED: Final = 10**18 - 1


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.add_argument("before", metavar="A", help="a ruleset: a file, or the id of an installed one")
    parser.add_argument("after", metavar="B", help="the ruleset to compare it with")
    parser.add_argument(
        "--no-advice", action="store_true", help="compare what is written only, not what is advised"
    )
    parser.add_argument(
        "--reeds", metavar="N", help=f"virtual reeds to try, half from each ({REEDS}); 0: worked cases only"
    )
    parser.add_argument("--seed", metavar="N", help="which reeds are drawn; the same again for the same (1)")
    parser.add_argument(
        "--seconds", metavar="N", help=f"begin no further reed after so many seconds ({SECONDS})"
    )
    parser.add_argument("--json", action="store_true", help="print everything as JSON")


def run(arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
    """Compare, and tell; interrupted, what was tried until then."""
    reeds = whole_number(arguments.reeds, "--reeds", REEDS, 0, MOST_REEDS)
    seed = whole_number(arguments.seed, "--seed", 1, 0, LARGEST_SEED)
    seconds = whole_number(arguments.seconds, "--seconds", SECONDS, 1, MOST_SECONDS)
    try:
        before, after = (Side(said, usable_ruleset(said)) for said in (arguments.before, arguments.after))
    except ShelfError as fault:
        complain(around, str(fault))
        return ExitCode.COULD_NOT_START
    found = compare(before.ruleset, after.ruleset)
    if not arguments.json:
        tell(around, comparison_lines(before, after, found, around.width))
        around.stdout.flush()
    code, tried = ExitCode.DONE if found.is_same else ExitCode.NO, None
    if not found.is_same and not arguments.no_advice:
        is_whole, tried = _tried(before, after, found, (reeds, seed, seconds), around)
        code = code if is_whole else ExitCode.INTERRUPTED
    _tell_rest(before, after, found, tried, around, as_json=arguments.json)
    return code


def _tried(
    before: Side, after: Side, found: Comparison, wanted: tuple[int, int, int], around: Surroundings
) -> "tuple[bool, Tried]":
    """Put cases to both; whether that was not interrupted, and what was tried."""
    from engine.differing import sightings  # noqa: PLC0415 - loads the numbers
    from engine.twonames import voices  # noqa: PLC0415 - the same
    from tui.cli.compare.advice import Tried  # noqa: PLC0415 - the same

    reeds, seed, seconds = wanted
    rulesets = (before.ruleset, after.ruleset, found.called_otherwise)
    made, done, is_whole = [], 0, True
    begun, progress = around.now(), Progress(around)
    try:
        for sighting in sightings(*rulesets, reeds, lambda number: chance_of(seed, number)):
            made.append(sighting)
            done += sighting.reed is not None
            progress.say(f"advice: worked cases: {len(made) - done}, reeds: {done} of {reeds}")
            if (around.now() - begun).total_seconds() > seconds and done < reeds:
                progress.wipe()
                complain(around, f"{seconds} seconds have passed: stopped after {done} of {reeds} reeds")
                break
    except KeyboardInterrupt:
        is_whole = False
        progress.wipe()
        complain(around, f"interrupted after {done} of {reeds} reeds; what follows is of those")
    progress.wipe()
    return is_whole, Tried(*voices(*rulesets), made, reeds, seed)


def _tell_rest(
    before: Side,
    after: Side,
    found: Comparison,
    tried: "Tried | None",
    around: Surroundings,
    *,
    as_json: bool,
) -> None:
    if as_json:
        answer = comparison_json(before, after, found)
        if tried is not None:
            from tui.cli.compare.advice import advice_json  # noqa: PLC0415 - loaded by now

            answer["advice"] = advice_json(tried)
        tell_json(around, answer)
    elif tried is not None:
        from tui.cli.compare.advice import advice_lines  # noqa: PLC0415 - the same

        tell(around, advice_lines(tried, around.width))
