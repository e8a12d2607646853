"""`trial --propose`: the cases that a ruleset's trials lack, as YAML to be pasted under `trials:`."""

from collections.abc import Iterator
from itertools import islice
from typing import TYPE_CHECKING, Final

from kb.model import Cause, Ruleset

if TYPE_CHECKING:
    from engine.proposing import Proposal

HEAD: Final = "  # Cases to judge: put them below `trials:`, and fill each `expect` before you try them."


def proposed(ruleset: Ruleset, most: int) -> tuple[str, ...]:
    """Give the lines of at most `most` trials, the most telling first; nothing where none is missing."""
    from engine.proposing import proposals  # noqa: PLC0415 - its prices come with the engine

    titles = {trial.title for trial in ruleset.trials}
    lines = [line for one in islice(proposals(ruleset), most) for line in _lines(one, titles)]
    return (HEAD, *lines) if lines else ()


def _lines(proposal: "Proposal", titles: set[str]) -> Iterator[str]:
    # Ids are letters, digits and hyphens; all other text is the author's and stands in comments, on one
    # line and without anything that a reader of YAML would refuse.
    title = f"{proposal.one.id} or {proposal.other.id}"
    number = 1
    while title in titles:
        number += 1
        title = f"{proposal.one.id} or {proposal.other.id}, {number}"
    titles.add(title)
    given = ", ".join(f"{finding}: {answer}" for finding, answer in proposal.given)
    yield f"  # Which is it: {_named(proposal.one)} or {_named(proposal.other)}? Say what you expect."
    yield f"  - title: {title}"
    yield f"    given: {{{given}}}"
    if proposal.sitting > 1:
        yield f"    sitting: {proposal.sitting}"
    yield "    expect: {}"


def _named(cause: Cause) -> str:
    return f"{cause.id} ({' '.join(cause.title.split())})"
