"""What stands beside a ruleset's text: its entries by section, and its problems at their places."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from textual.content import Content

from kb.load import Loaded
from kb.model import Ruleset
from kb.problem import Problem, Severity
from kb.value import Value
from tui.draw.literal import literal
from tui.language import worded, worded_count
from tui.manuscript import Manuscript, Passage, said_below

SIGNS: Final = {Severity.ERROR: "✗", Severity.WARNING: "▲"}
_STYLES: Final = {Severity.ERROR: "bold $error-text", Severity.WARNING: "bold $warning-text"}


@dataclass(frozen=True, slots=True)
class Judged:
    """What a text came to: everything beside it."""

    passages: tuple[Passage, ...] = ()
    problems: tuple[Problem, ...] = ()
    ruleset: Ruleset | None = None
    """None when there is an error in it."""
    inherited: tuple[Passage, ...] = ()
    """Entries of what it extends that it does not change."""
    loaded: Loaded | None = None
    """What the text came to, with those that it extends."""

    def below(self, passage: Passage) -> Value | None:
        """Give what a text that this one extends says of an entry."""
        return None if self.loaded is None else said_below(self.loaded, passage.path)

    def ids(self) -> tuple[str, ...]:
        """Give every id that may be referred to: the text's own, and those of what it stands on."""
        own = tuple(one.id for one in self.passages if one.section != "trials")
        known = self.ruleset
        if known is None:
            return own
        held = (
            known.finding,
            known.cause,
            known.operation,
            known.quantity,
            known.tool,
            known.zone,
            known.source,
        )
        return tuple(dict.fromkeys((*own, *(str(id_) for ids in held for id_ in ids))))

    def at(self, line: int) -> Passage | None:
        """Give the entry in which a line of the text stands."""
        before = [one for one in self.passages if one.line <= line]
        return max(before, key=lambda one: (one.line, one.column), default=None)


def judge(page: Manuscript) -> Judged:
    """Read and check a text, and list its entries."""
    loaded = page.judged()
    inherited = page.inherited(loaded)
    return Judged(page.passages(), loaded.problems, loaded.ruleset, inherited, loaded)


def count_of(problems: Sequence[Problem]) -> Content:
    """Say how many problems there are, by sign and word."""
    if not problems:
        return Content.styled(f"✓ {worded('no problems')}", "$quiet")
    parts = []
    for severity in (Severity.ERROR, Severity.WARNING):
        count = sum(problem.severity is severity for problem in problems)
        if count:
            said = f"{SIGNS[severity]} {_counted(severity, count)}"
            parts.append(Content.styled(said, _STYLES[severity]))
    return Content("   ").join(parts)


def _counted(severity: Severity, count: int) -> str:
    if severity is Severity.ERROR:
        return worded_count("{count} error", "{count} errors", count)
    return worded_count("{count} warning", "{count} warnings", count)


def problem_row(problem: Problem, name: str) -> Content:
    """Give one problem on a line: sign, place, message, hint."""
    span = problem.span
    where = f"{span.line}:{span.column}" if span.file == name else literal(str(span))
    return Content.assemble(
        (f"{SIGNS[problem.severity]} ", _STYLES[problem.severity]),
        (f"{where:<7} ", "$quiet"),
        literal(problem.message),
        (f"  {literal(problem.hint)}" if problem.hint else "", "$quiet"),
    )


def passage_rows(judged: Judged, name: str) -> list[Content]:
    """Give a line for each entry, those with problems signed, the section named where it begins."""
    worst: dict[Passage, Severity] = {}
    for problem in judged.problems:
        inside = judged.at(problem.span.line) if problem.span.file == name else None
        if inside is not None and worst.get(inside) is not Severity.ERROR:
            worst[inside] = problem.severity
    rows, section = [], ""
    for passage in judged.passages:
        named = "" if passage.section == section else passage.section
        section = passage.section
        severity = worst.get(passage)
        rows.append(
            Content.assemble(
                (f"{named}\n" if named else "", "underline $quiet"),
                (f"{SIGNS[severity]} " if severity else "  ", _STYLES[severity] if severity else ""),
                literal(passage.id),
            )
        )
    return rows
