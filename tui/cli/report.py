"""Problems as people read them: place, message, the line itself, and a caret under the spot."""

from collections.abc import Mapping, Sequence
from sys import maxsize
from typing import Final

from kb.problem import Problem, Severity
from kb.text import Span
from tui.draw.cells import cells, fitted, hung
from tui.draw.literal import literal

BEFORE: Final = 30
"""Characters kept before the spot in a line that is too long to show."""
LEAST_ROOM: Final = 20
COLOURS: Final[Mapping[Severity, str]] = {Severity.ERROR: "\x1b[1;31m", Severity.WARNING: "\x1b[1;33m"}
"""Bold red and bold yellow of the terminal's own palette, so that they suit its ground."""
PLAIN: Final = "\x1b[0m"


def problem_lines(problem: Problem, excerpt: str, width: int, fold: int = maxsize) -> list[str]:
    """Give the lines for one problem; `excerpt` is the line on which it begins, as written.

    The excerpt is cut to `width`, and words are broken at `fold`.
    """
    lines = [*hung(f"{problem.span} {problem.severity}: {problem.message} ({problem.check})", fold)]
    gutter = str(problem.span.line)
    bare = " " * len(gutter)
    hint = problem.hint
    if excerpt.strip():
        shown, carets = _marked(excerpt, problem.span, max(LEAST_ROOM, width - len(gutter) - 3))
        lines.append(f"{gutter} | {shown}")
        marks = f"{bare} | {carets}   {hint}".rstrip()
        if cells(marks) <= fold:
            return [*lines, marks]
        lines.append(f"{bare} | {carets}")
    room = max(fold - len(gutter) - 3, LEAST_ROOM)
    return lines + [f"{bare} | {line}" for line in hung(hint, room) if line]


def coloured(lines: Sequence[str], problem: Problem) -> list[str]:
    """Give the lines of a problem with its severity and its carets in colour.

    Colour comes last, upon lines that are literal already; the words and the carets say the same
    without it.
    """
    colour = COLOURS[problem.severity]
    place, excerpt = f"{literal(str(problem.span))} ", f"{problem.span.line} | "
    done = [literal(line).rstrip() for line in lines]
    if done[0].startswith(f"{place}{problem.severity}:"):
        rest = done[0][len(place) + len(problem.severity) :]
        done[0] = f"{place}{colour}{problem.severity}{PLAIN}{rest}"
    for number, line in enumerate(done[1:], 1):
        if done[number - 1].startswith(excerpt):
            before, carets = line[: line.index("^")], line[line.index("^") :]
            hint = carets.lstrip("^")
            done[number] = f"{before}{colour}{'^' * (len(carets) - len(hint))}{PLAIN}{hint}"
            break
    return done


def summing_line(names: Sequence[str], problems: Sequence[Problem]) -> str:
    """Sum up the check of files called `names`."""
    errors = sum(problem.severity is Severity.ERROR for problem in problems)
    warnings = len(problems) - errors
    subject = names[0] if len(names) == 1 else f"{len(names)} rulesets"
    if not problems:
        return f"{subject}: no problems"
    counts = [(errors, "error"), (warnings, "warning")]
    said = ", ".join(counted(count, noun) for count, noun in counts if count)
    mendable = sum(bool(problem.mend) for problem in problems)
    if not mendable:
        return f"{subject}: {said}"
    verb = "can be mended" if mendable == len(problems) else f"of which {mendable} can be mended"
    return f"{subject}: {said}; {verb}: check --mend"


def counted(count: int, noun: str) -> str:
    """Say how many of something.

    >>> counted(1, "error"), counted(2, "warning")
    ('1 error', '2 warnings')
    """
    return f"{count} {noun}{'' if count == 1 else 's'}"


def _marked(excerpt: str, span: Span, room: int) -> tuple[str, str]:
    """Give the line, cut to `room` cells, and carets that stand under the span on a screen."""
    start = span.column - 1
    # Where the span goes on in the next line, or names no length, its first line or letter is marked.
    end = max(start + 1, span.end_column - 1) if span.end_line == span.line else len(excerpt)
    # Letters first: measuring the cells of a line of ten million letters takes its time.
    is_long = end > room or cells(literal(excerpt[:end])) > room
    first = start - BEFORE if is_long and start > BEFORE else 0
    lead = "…" if first else ""
    before = lead + literal(excerpt[first:start])
    marked = literal(excerpt[start : min(end, start + room)]) or " "
    after = literal(excerpt[end : end + room])
    shown = fitted(before + marked + after, room)
    width = max(1, min(cells(marked), room - cells(before)))
    return shown, " " * cells(before) + "^" * width
