"""What `weigh` says to people: the priority, the step, why, and the leading causes."""

from collections.abc import Iterator
from typing import Final

from engine.step import ANY_REST, Advice, Kind, Step
from engine.wording import in_words, minutes, percent
from kb.ids import FindingId, RemedyId
from kb.model import Ending, Remedy, Ruleset
from tui.draw.cells import cells, padded, wrapped
from tui.words import ENDINGS, UNDO, UNLISTED_IS_LARGE

LEADING: Final = 5
"""Causes told; the rest is under --json."""
LEAST: Final = 0.01
"""Chance below which a cause is not worth a line."""
WIDEST: Final = 100


def advice_lines(ruleset: Ruleset, advice: Advice, step: Step, width: int) -> Iterator[str]:
    """Give the lines that answer `weigh`."""
    room = min(width, WIDEST)
    yield from _wrapped("", _priority(ruleset, advice), room)
    yield ""
    yield from _wrapped("Next: ", _step(ruleset, step), room)
    operation = ruleset.operation.get(RemedyId(step.id))
    if operation is not None:
        yield from _how(ruleset, operation, room)
    if step.why:
        yield ""
        yield "Why:"
        for reason in step.why:
            yield from _wrapped("  - ", reason, room)
    yield from _causes(ruleset, advice, room)


def disagreement_lines(ruleset: Ruleset, advice: Advice, rounds: int) -> Iterator[str]:
    """Say which answers cannot all be true together."""
    yield "These answers cannot all be true together under this ruleset; look at them again:"
    for number, id_ in advice.disagree:
        finding = ruleset.finding.get(FindingId(id_))
        where = "" if rounds == 1 else f" in round {number}"
        yield f"  - {finding.title if finding else id_} ({id_}){where}"


def _priority(ruleset: Ruleset, advice: Advice) -> str:
    if advice.priority is None:
        return "Every priority is clear."
    priority = ruleset.priority[advice.priority]
    again = " again, since the last remedy may have disturbed it" if advice.reopened else ""
    goal = f" ({priority.goal})" if priority.goal else ""
    return f"{priority.title} comes first{again}{goal}."


def _step(ruleset: Ruleset, step: Step) -> str:
    match step.kind:
        case Kind.ASK:
            finding = ruleset.finding[FindingId(step.id)]
            return f"find out: {finding.ask} ({step.id}, {minutes(finding.minutes)})"
        case Kind.STOP:
            return f"{ENDINGS[Ending(step.id)]} ({step.id})"
        case Kind.DO | Kind.REST:
            operation = ruleset.operation.get(RemedyId(step.id))
            if operation is None:
                return f"leave it until the next sitting ({ANY_REST})"
            how_long = f"{operation.hours:g} hours" if operation.hours else minutes(operation.minutes)
            return f"{operation.title} ({step.id}, {how_long}, {UNDO[operation.undo]})"


def _how(ruleset: Ruleset, operation: Remedy, room: int) -> Iterator[str]:
    yield from _wrapped("  ", operation.do, room)
    if operation.zone is not None and operation.zone in ruleset.zone:
        yield from _wrapped("  Where: ", ruleset.zone[operation.zone].title, room)
    if operation.tool is not None and operation.tool in ruleset.tool:
        yield from _wrapped("  With: ", ruleset.tool[operation.tool].title, room)
    if operation.caution:
        yield from _wrapped("  Caution: ", operation.caution, room)


def _causes(ruleset: Ruleset, advice: Advice, room: int) -> Iterator[str]:
    leading = [(cause, chance) for cause, chance in advice.belief.causes[:LEADING] if chance >= LEAST]
    if leading:
        yield ""
        yield "Most likely causes:"
    said = [(f"{percent(chance):>9}  {in_words(chance)}", cause) for cause, chance in leading]
    width = max((cells(lead) for lead, _ in said), default=0)
    for lead, cause in said:
        yield from _wrapped(f"  {padded(lead, width)}  ", f"{ruleset.cause[cause].title} ({cause})", room)
    if advice.belief.unlisted >= UNLISTED_IS_LARGE:
        yield from _wrapped(
            "  ",
            f"Something that this ruleset does not list is {in_words(advice.belief.unlisted)} "
            f"({percent(advice.belief.unlisted)}): look elsewhere too, or ask someone.",
            room,
        )
    if not advice.belief.exact:
        yield from _wrapped("  ", "The oldest rounds were summed up; the chances are near, not exact.", room)


def _wrapped(lead: str, text: str, room: int) -> Iterator[str]:
    """Break a text into lines under `lead`, which stands before the first."""
    indent = cells(lead)
    first, *rest = wrapped(text, max(20, room - indent), 50)
    yield lead + first
    yield from (" " * indent + line for line in rest)
