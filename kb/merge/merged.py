"""Three files to one: the story of a merge, from bytes to a new text of ours.

Ours is the ground: its comments, layout and line ends stay. Where only one side changed anything at
all, the other's file is taken as it is. What both changed differently stays as ours says and is
handed back as a conflict.
"""

from dataclasses import dataclass, replace
from typing import Final

from kb.edit import CANNOT_EDIT, Draft
from kb.merge.lists import NAMED, Path, names
from kb.merge.redraw import Sides, Unmade, redrawn
from kb.merge.threeway import Conflict, Edit, Order, steps
from kb.problem import Problem
from kb.text import Span, whole_file
from kb.value import EMPTY, Pairs, Value

BOM: Final = b"\xef\xbb\xbf"


@dataclass(frozen=True, slots=True)
class Given:
    """One of the three files."""

    name: str
    """What messages call it."""
    content: bytes


@dataclass(frozen=True, slots=True)
class Merged:
    """The new text, what was taken from theirs, and what a person has to settle."""

    sides: Sides
    draft: Draft
    """Ours with all that could be taken; it means what both sides together mean, conflicts aside."""
    taken: tuple[Edit, ...]
    notes: tuple[Path, ...] = ()
    """Entries of which only comments were taken."""
    conflicts: tuple[Conflict, ...] = ()
    unmade: tuple[Unmade, ...] = ()

    @property
    def is_clean(self) -> bool:
        """Whether nothing is left to settle."""
        return not self.conflicts and not self.unmade


class LostChangeError(RuntimeError):
    """A merged text does not hold what theirs changed: our fault, and nothing may be written."""


def merge(base: Given, ours: Given, theirs: Given) -> Merged | Problem:
    """Merge three files; a problem when one of them cannot be read. An empty base is one with no entries."""
    opened = [_opened(base, may_be_empty=True), _opened(ours), _opened(theirs)]
    drafts = [one for one in opened if isinstance(one, Draft)]
    if len(drafts) < len(opened):
        return next(one for one in opened if isinstance(one, Problem))
    sides = Sides(*drafts)
    found = steps(sides.base.tree, sides.ours.tree, sides.theirs.tree)
    edits = tuple(step for step in found if isinstance(step, Edit))
    if theirs.content in (base.content, ours.content):
        return Merged(sides, sides.ours, ())
    if ours.content == base.content:
        return Merged(sides, replace(sides.theirs, name=ours.name), edits)
    conflicts = tuple(step for step in found if isinstance(step, Conflict))
    done = redrawn(sides, [step for step in found if isinstance(step, Edit | Order)])
    if not done.unmade:
        _verify(sides, done.draft)
    return Merged(sides, done.draft, done.made, done.notes, conflicts, done.unmade)


def _opened(given: Given, *, may_be_empty: bool = False) -> Draft | Problem:
    if may_be_empty and not given.content.removeprefix(BOM).strip():
        return Draft(given.name, "", "", EMPTY)  # what git hands over when both sides added the file
    draft = Draft.of(given.name, given.content)
    if isinstance(draft, Problem) or isinstance(draft.tree.data, Pairs):
        return draft
    return Problem(whole_file(given.name), CANNOT_EDIT, "this file is no mapping, and so no ruleset")


def _verify(sides: Sides, draft: Draft) -> None:
    """Hold that the text, read again, has nothing left to take from theirs and lost nothing of ours."""
    for side in (sides.theirs, sides.ours):
        left = [step for step in steps(sides.base.tree, draft.tree, side.tree) if isinstance(step, Edit)]
        if left:
            raise LostChangeError(
                f"{draft.name}: {' '.join(left[0].path)} of {side.name} was lost in merging"
            )


def where(draft: Draft, path: Path) -> Span:
    """Give the place of what stands at `path`, or of the innermost thing on the way that is there."""
    span, value = whole_file(draft.name), draft.tree
    for depth, part in enumerate(path):
        found = _part(value, part, is_named=depth == 1 and path[0] in NAMED)
        if found is None:
            break
        span, value = found
    return span


def _part(value: Value, part: str, *, is_named: bool) -> tuple[Span, Value] | None:
    if is_named:
        known = names(value) or ()
        item = value.items()[known.index(part)] if part in known else None
        return None if item is None else (item.span, item)
    for pair in value.pairs():
        if pair.key == part:
            return pair.key_span, pair.value
    return None
