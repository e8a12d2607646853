"""`canebrake studio publish`: a ruleset to where others get it from."""

import argparse
from typing import Final

from kb.bundle.gathering import Gathered
from kb.disk import DiskError
from kb.licences import Fit
from kb.studio.keeping import at_work, place_of_studio
from kb.studio.places import Place, place_of
from kb.studio.publishing import licence_faults, planned, publish
from kb.taken import read_lock
from tui.cli.report import counted, problem_lines
from tui.cli.saying import complain, tell
from tui.cli.studio.bundles import complain_of_errors, gathered_ruleset
from tui.cli.studio.changes import change_lines
from tui.cli.studio.places import asked, time_of
from tui.exit_code import ExitCode
from tui.shelf import open_ruleset
from tui.wiring import Surroundings

_PROBLEMS: Final = 5
"""Warnings of one ruleset that are shown."""


def publish_options(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments of `publish`."""
    parser.add_argument(
        "rulesets", metavar="RULESET", nargs="+", help="a file, or the id of an installed ruleset"
    )
    parser.add_argument("place", metavar="PLACE", help="a folder, a git repository, or the name of a studio")
    parser.add_argument("--message", metavar="TEXT", default="", help="what changed, for git's history")
    parser.add_argument("--yes", action="store_true", help="publish without asking")
    parser.add_argument(
        "--quick",
        action="store_true",
        help="leave out the questions of check --deep, which take a minute or more for a large ruleset",
    )
    parser.add_argument(
        "--licence-is-settled",
        action="store_true",
        help="publish although the licences do not seem to go together: you hold the rights, or have asked",
    )


def publish_rulesets(arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
    """Check rulesets and their licences, show what would change at the place, ask, and put them there."""
    gathered = [gathered_ruleset(said) for said in arguments.rulesets]
    for one in gathered:
        if one.loaded.ruleset is None:
            complain_of_errors(one, around)
            return ExitCode.NO
        if not _may_share(one, around, is_settled=arguments.licence_is_settled):
            return ExitCode.NO
    if not arguments.quick and not _ask_deep(arguments.rulesets, around):
        return ExitCode.INTERRUPTED
    rulesets = [one.loaded.ruleset for one in gathered if one.loaded.ruleset is not None]
    named = ", ".join(f"{ruleset.id} {ruleset.version}" for ruleset in rulesets)
    titled = "; ".join(f"{ruleset.title} {ruleset.version}" for ruleset in rulesets)
    home = around.data_folder
    place = _place(arguments.place, around)
    with (
        at_work(home),
        planned(gathered, place, home, around.environ, time_of(around)) as plan,
    ):
        if not plan.written:
            tell(around, [f"{named} is there already, just so: {arguments.place}"])
            return ExitCode.DONE
        tell(around, [f"{arguments.place}: this would change"])
        tell(around, change_lines(plan.before, plan.after, around.width))
        if not arguments.yes and not asked(around, "Publish this?"):
            tell(around, ["Nothing was published"])
            return ExitCode.NO
        commit = publish(plan, arguments.message or titled)
    how = f" as commit {commit[:12]}" if commit else ""
    tell(around, [f"Published {named} to {arguments.place}{how}"])
    return ExitCode.DONE


def _ask_deep(rulesets: list[str], around: Surroundings) -> bool:
    """Say how the rulesets behave, as `check --deep` does, before others get them; False: interrupted."""
    from tui.cli.check.deep import all_deepened  # noqa: PLC0415 - what it leads to loads the numbers

    found, code = all_deepened([open_ruleset(said) for said in rulesets], around)
    for one in found:
        for problem in one.problems[:_PROBLEMS]:
            tell(around, problem_lines(problem, one.excerpt(problem.span), around.width, around.width))
        if len(one.problems) > _PROBLEMS:
            left = len(one.problems) - _PROBLEMS
            tell(
                around, [f"and {counted(left, 'warning')} more; canebrake check --deep {one.said} shows all"]
            )
    if code is not ExitCode.DONE:
        complain(around, "nothing was published; --quick leaves these questions out")
    return code is ExitCode.DONE


def _may_share(gathered: Gathered, around: Surroundings, *, is_settled: bool) -> bool:
    """Say what stands against sharing by licence; whether it may go on."""
    faults = licence_faults(gathered)
    for _, said in faults:
        complain(around, said)
    if is_settled or all(how is not Fit.NO for how, _ in faults):
        return True
    complain(around, "nothing was published; if you hold the rights or have asked, add --licence-is-settled")
    return False


def _place(said: str, around: Surroundings) -> Place:
    """Give the place of a studio that is known by this name, or the place itself."""
    try:
        studio = read_lock(around.data_folder).studio(said)
    except DiskError:
        studio = None
    return place_of(said) if studio is None else place_of_studio(studio)
