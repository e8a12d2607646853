"""What `merge` says: what was taken, what is in conflict and where, and whether the result passes."""

from collections.abc import Iterator
from typing import Final

from kb.edit.writing import in_flow
from kb.load import Loaded
from kb.merge import Conflict, Edit, Merged, where
from kb.merge.lists import Path
from kb.problem import Severity
from kb.text import Span
from kb.value import Pairs, Value
from tui.cli.report import problem_lines
from tui.cli.saying import Json
from tui.draw.cells import hung

NOT_THERE: Final = "not there"
_LONGEST: Final = 300
"""Letters of one value that are told; the file has the rest."""
_ERRORS: Final = 5


def merge_lines(merged: Merged, loaded: Loaded, width: int) -> Iterator[str]:
    """Tell what was done, and what is left to do."""
    theirs = merged.sides.theirs.name
    if merged.taken or merged.notes:
        yield from hung(f"Taken from {theirs}", width)
        for edit in merged.taken:
            for line in _edit(edit.path, edit.before, edit.value):
                yield from hung(f"  {line}", width)
        for path in merged.notes:
            yield from hung(f"  comments of {' '.join(path)}", width)
    if merged.conflicts:
        yield from hung("In conflict: ours stays in the file until you change it", width)
        for conflict in merged.conflicts:
            yield from _conflict(merged, conflict, width)
    if merged.unmade:
        yield from hung(f"To be taken from {theirs} by hand", width)
        for unmade in merged.unmade:
            for line in _edit(unmade.edit.path, unmade.edit.before, unmade.edit.value):
                yield from hung(f"  {line}", width)
            yield from hung(f"    {unmade.problem.message}", width)
    yield from _errors(loaded, width)
    yield from hung(_sum(merged, loaded), width)


def _edit(path: Path, before: Value | None, after: Value | None) -> Iterator[str]:
    """Say what one edit changes, key by key where both sides have keys."""
    name = " ".join(path)
    if before is None:
        said = "" if after is None or isinstance(after.data, Pairs) else f": {_words(after)}"
        yield f"added {name}{said}"
    elif after is None:
        yield f"removed {name}"
    elif isinstance(before.data, Pairs) and isinstance(after.data, Pairs):
        keys = dict.fromkeys(pair.key for side in (before, after) for pair in side.pairs())
        for key in keys:
            old, new = before.get(key), after.get(key)
            if old is None or new is None or _words(old) != _words(new):
                yield from _edit((*path, key), old, new)
    else:
        yield f"changed {name}: {_words(before)} → {_words(after)}"


def _words(value: Value | None) -> str:
    if value is None:
        return NOT_THERE
    said = in_flow(value)
    return said if len(said) <= _LONGEST else said[:_LONGEST] + "…"


def _conflict(merged: Merged, conflict: Conflict, width: int) -> Iterator[str]:
    order = "the order of " if conflict.is_order else ""
    yield from hung(f"  {order}{' '.join(conflict.path)}", width)
    for side, span, value in _sides(merged, conflict):
        yield from hung(f"    {side}, {span}: {_words(value)}", width)


def _sides(merged: Merged, conflict: Conflict) -> Iterator[tuple[str, Span, Value | None]]:
    """Give each side's place and value; the place of ours is that in the merged file."""
    sides = merged.sides
    yield "before", where(sides.base, conflict.path), conflict.base
    yield "ours", where(merged.draft, conflict.path), conflict.ours
    yield "theirs", where(sides.theirs, conflict.path), conflict.theirs


def _errors(loaded: Loaded, width: int) -> Iterator[str]:
    errors = [problem for problem in loaded.problems if problem.severity is Severity.ERROR]
    for problem in errors[:_ERRORS]:
        text = loaded.text_of(problem.span.file)
        yield from problem_lines(problem, text.excerpt(problem.span) if text else "", width)
    if len(errors) > _ERRORS:
        yield f"and {len(errors) - _ERRORS} more errors; `canebrake check` shows all"


def _sum(merged: Merged, loaded: Loaded) -> str:
    taken, left = len(merged.taken) + len(merged.notes), len(merged.conflicts) + len(merged.unmade)
    parts = [
        f"{taken or 'no'} {'change' if taken == 1 else 'changes'} taken",
        f"{left or 'no'} {'conflict' if left == 1 else 'conflicts'}",
    ]
    errors = sum(problem.severity is Severity.ERROR for problem in loaded.problems)
    count = "there is 1 error" if errors == 1 else f"there are {errors} errors"
    passes = f"it does not pass check: {count}" if errors else "it passes check"
    return f"{merged.draft.name}: {', '.join(parts)}; {passes}"


def merge_json(merged: Merged, loaded: Loaded, output: str) -> Json:
    """Give the same for programs."""
    return {
        "written": output,
        "clean": merged.is_clean,
        "taken": [_edit_json(edit) for edit in merged.taken],
        "comments": [list(path) for path in merged.notes],
        "conflicts": [
            {
                "path": list(one.path),
                "order": one.is_order,
                **{
                    side: {"value": None if value is None else in_flow(value), "at": _place(span)}
                    for side, span, value in _sides(merged, one)
                },
            }
            for one in merged.conflicts
        ],
        "by_hand": [{**_edit_json(one.edit), "why": one.problem.message} for one in merged.unmade],
        "errors": [
            {"at": _place(problem.span), "check": problem.check, "message": problem.message}
            for problem in loaded.problems
            if problem.severity is Severity.ERROR
        ],
    }


def _edit_json(edit: Edit) -> dict[str, Json]:
    return {
        "path": list(edit.path),
        "before": None if edit.before is None else in_flow(edit.before),
        "after": None if edit.value is None else in_flow(edit.value),
    }


def _place(span: Span) -> Json:
    return {"file": span.file, "line": span.line, "column": span.column}
