"""`check --mend`: what a file would be with its mends, shown, asked, written, and checked again."""

from collections.abc import Iterator
from difflib import unified_diff

from kb.disk import DiskError
from kb.mending import Mended, mend, save
from kb.problem import Severity
from tui.cli.report import counted, problem_lines, summing_line
from tui.cli.saying import complain, tell
from tui.exit_code import ExitCode
from tui.shelf import Opened, read_again
from tui.wiring import Surroundings


def mend_file(opened: Opened, around: Surroundings, *, yes: bool, strict: bool) -> ExitCode:
    """Show the change to one file, and make it when it is agreed to; the code speaks of what is left."""
    path = opened.path
    if path is None:
        complain(
            around, f"{opened.said} is installed, and is not changed; `canebrake new FILE --from` copies it"
        )
        return ExitCode.COULD_NOT_START
    try:
        mended = mend(opened.said, read_again(opened), opened.base)
    except DiskError as fault:
        complain(around, str(fault))
        return ExitCode.COULD_NOT_START
    if not mended.made:
        return _tell_left(mended, around, strict=strict, what="nothing that can be mended without asking you")
    tell(around, _change(mended))
    if not (yes or _agreed(mended, around)):
        return ExitCode.NO
    try:
        save(mended, path)
    except DiskError as fault:
        complain(around, str(fault))
        return ExitCode.COULD_NOT_START
    return _tell_left(mended, around, strict=strict, what=f"mended {counted(len(mended.made), 'problem')}")


def _change(mended: Mended) -> Iterator[str]:
    before, after = (text.splitlines() for text in mended.texts)
    return unified_diff(before, after, mended.name, f"{mended.name} (mended)", lineterm="", n=2)


def _agreed(mended: Mended, around: Surroundings) -> bool:
    """Ask on a terminal; elsewhere nobody can be asked, and nothing is written."""
    if not around.is_terminal:
        complain(around, f"nothing was written; --yes mends {mended.name} without asking")
        return False
    around.stdout.write(f"Mend {counted(len(mended.made), 'problem')} so? yes or no: ")
    around.stdout.flush()
    if around.stdin.readline().strip().casefold() in {"yes", "y"}:
        return True
    complain(around, "nothing was written")
    return False


def _tell_left(mended: Mended, around: Surroundings, *, strict: bool, what: str) -> ExitCode:
    problems = mended.left.problems
    for problem in problems:
        text = mended.left.text_of(problem.span.file)
        tell(around, problem_lines(problem, text.excerpt(problem.span) if text else "", around.width))
    tell(around, [f"{what}; left: {summing_line([mended.name], problems)}"])
    failing = any(strict or problem.severity is Severity.ERROR for problem in problems)
    return ExitCode.NO if failing else ExitCode.DONE
