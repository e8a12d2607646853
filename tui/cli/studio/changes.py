"""What `studio` says before it takes or publishes anything: the change in meaning, ruleset by ruleset."""

from collections.abc import Iterator
from typing import Final

from kb.bundle.judging import Judged
from kb.compare.changes import compare
from kb.model import Ruleset
from kb.studio.keeping import Candidate
from tui.cli.compare.report import Side, comparison_lines
from tui.cli.report import problem_lines
from tui.draw.cells import hung

_PROBLEMS: Final = 5


def change_lines(before: Candidate, after: Candidate, width: int) -> Iterator[str]:
    """Tell what differs between two versions of a studio, by the ids of their rulesets."""
    old, new = _rulesets(before), _rulesets(after)
    for id_ in sorted(old.keys() | new.keys()):
        was, now = old.get(id_), new.get(id_)
        if was is None and now is not None:
            yield from hung(f"new: {now.title} ({now.id} {now.version})", width)
        elif now is None and was is not None:
            yield from hung(f"gone: {was.title} ({was.id} {was.version})", width)
        elif was is not None and now is not None and was.digest != now.digest:
            yield from ruleset_change(was, now, width)


def ruleset_change(before: Ruleset, after: Ruleset, width: int) -> Iterator[str]:
    """Tell what differs between a ruleset as it is and as it would be."""
    yield from comparison_lines(
        Side("as it is", before), Side("as it would be", after), compare(before, after), width
    )
    if before.version == after.version:
        yield from hung(f"(Both call themselves {after.id} {after.version}.)", width)


def problem_excerpts(one: Judged, width: int) -> Iterator[str]:
    """Tell the first problems of a ruleset, with their lines."""
    for problem in one.loaded.problems[:_PROBLEMS]:
        text = one.loaded.text_of(problem.span.file)
        yield from problem_lines(problem, text.excerpt(problem.span) if text else "", width, width)


def _rulesets(candidate: Candidate) -> dict[str, Ruleset]:
    found = (one.loaded.ruleset for one in candidate.judged)
    return {ruleset.id: ruleset for ruleset in found if ruleset is not None}
