"""`canebrake merge`: two people changed one ruleset; this makes one file of both, by entry and by key.

The exit code is 0 when both went together and the result passes `check`, 1 when something is left
to settle (a conflict, or errors in the result), 2 when a file could not be read. It also serves as
git's merge driver: then git takes 1 for a conflict and leaves the file for its user.
"""

import argparse
from pathlib import Path
from typing import Final

from kb.disk import DiskError, read_bounded, write_whole
from kb.load import Loaded, beside, load_bytes
from kb.merge import Given, Merged, merge
from kb.problem import Problem, Severity
from tui.cli.merge.report import merge_json, merge_lines
from tui.cli.parser import WrongUsage
from tui.cli.saying import complain, tell_json
from tui.draw.literal import literal
from tui.exit_code import ExitCode
from tui.wiring import Surroundings

HELP: Final = "make one ruleset of two that were changed apart, without losing a comment"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments."""
    parser.add_argument("base", metavar="BASE", help="the file as it was before both changed it")
    parser.add_argument("ours", metavar="OURS", help="your file: its comments and its layout stay")
    parser.add_argument("theirs", metavar="THEIRS", help="the file whose changes are taken in")
    parser.add_argument(
        "-o",
        dest="output",
        metavar="FILE",
        help="write the result to FILE, which may be OURS; without it, to the terminal",
    )
    parser.add_argument(
        "--at",
        metavar="FILE",
        help="where the file belongs, if the three are copies: messages call it so, "
        "and rulesets that it extends are looked for beside it (for git: --at %%P)",
    )
    parser.add_argument("--json", action="store_true", help="print what was done as JSON; needs -o")


def run(arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
    """Merge, check, write, and tell."""
    if arguments.json and arguments.output is None:
        raise WrongUsage("--json tells what was done; say with -o where the merged file goes")
    try:
        given = _given(arguments)
    except DiskError as fault:
        complain(around, str(fault))
        return ExitCode.COULD_NOT_START
    return settle(given, _name(arguments), arguments.output, around, as_json=arguments.json)


def settle(
    given: tuple[Given, Given, Given], name: str, output: str | None, around: Surroundings, *, as_json: bool
) -> ExitCode:
    """Merge three files, write the result to `output`, and tell; it belongs where `name` says."""
    merged = merge(*given)
    if isinstance(merged, Problem):
        hint = f"; {merged.hint}" if merged.hint else ""
        complain(around, f"nothing was merged: {merged.span}: {merged.message}{hint}")
        return ExitCode.COULD_NOT_START
    loaded = load_bytes(name, merged.draft.content, beside(Path(name).parent))
    try:
        _write(merged, output, around)
    except DiskError as fault:
        complain(around, str(fault))
        return ExitCode.COULD_NOT_START
    _tell(merged, loaded, output, around, as_json=as_json)
    errors = any(problem.severity is Severity.ERROR for problem in loaded.problems)
    return ExitCode.DONE if merged.is_clean and not errors else ExitCode.NO


def _name(arguments: argparse.Namespace) -> str:
    """Give the name under which the result is known."""
    return str(arguments.at or arguments.output or arguments.ours)


def _given(arguments: argparse.Namespace) -> tuple[Given, Given, Given]:
    """Read the three files; of copies with names that say nothing, messages name the file itself."""
    base, ours, theirs = (arguments.base, arguments.ours, arguments.theirs)
    called = (base, _name(arguments), theirs)
    if arguments.at is not None:
        called = (f"{arguments.at} (before)", arguments.at, f"{arguments.at} (theirs)")
    contents = (read_bounded(Path(one)) for one in (base, ours, theirs))
    made = [Given(name, content) for name, content in zip(called, contents, strict=True)]
    return made[0], made[1], made[2]


def _write(merged: Merged, output: str | None, around: Surroundings) -> None:
    if output is None:
        around.stdout.write(merged.draft.text)
        around.stdout.flush()
    else:
        write_whole(Path(output), merged.draft.content)


def _tell(merged: Merged, loaded: Loaded, output: str | None, around: Surroundings, *, as_json: bool) -> None:
    """Tell what was done: on stdout, unless the merged text stands there."""
    if as_json and output is not None:
        tell_json(around, merge_json(merged, loaded, output))
        return
    stream = around.stderr if output is None else around.stdout
    stream.writelines(f"{literal(line).rstrip()}\n" for line in merge_lines(merged, loaded, around.width))
    stream.flush()
