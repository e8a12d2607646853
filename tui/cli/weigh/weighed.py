"""What `weigh` says to people: the priority, the step, why, and the leading causes."""

from collections.abc import Iterator
from math import isfinite
from typing import TYPE_CHECKING, Final

from engine.step import ANY_REST, Advice, Kind, Step
from engine.wording import in_words, minutes, not_exact, percent, title_of
from kb.ids import FindingId, RemedyId
from kb.model import Ending, Remedy, Ruleset
from tui.cli.saying import Json
from tui.draw.cells import cells, padded, wrapped
from tui.words import ENDINGS, UNDO, UNLISTED_IS_LARGE

if TYPE_CHECKING:
    from engine.account import Account

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
    first, *behind = advice.ranked
    if first.cost is None and behind:
        yield ""
        then = f"Then, should that change nothing: {title_of(ruleset, behind[0])} ({behind[0].id})"
        yield from _wrapped("", then, room)
    yield from _causes(ruleset, advice, room)


def account_lines(ruleset: Ruleset, told: "Account", width: int) -> Iterator[str]:
    """Give the lines of `--why`."""
    from tui import reasons  # noqa: PLC0415 - loads numpy

    room = min(width, WIDEST)
    yield ""
    yield "What each answer weighs (log-odds):"
    for one in told.reasons:
        lead = f"{ruleset.cause[one.cause].title}, {percent(one.chance)}"
        yield from _wrapped("  ", lead if one.weights else f"{lead}: no answer says much", room)
        for sentence in reasons.for_and_against(ruleset, one):
            yield from _wrapped("    - ", sentence, room)
    sentences = [
        *(reasons.pair_in_words(ruleset, pair) for pair in told.pairs),
        *reasons.remaining_in_words(ruleset, told.remaining),
    ]
    if sentences:
        yield ""
        yield "What is left:"
    for sentence in sentences:
        yield from _wrapped("  - ", sentence, room)
    yield ""
    yield "What would have turned it:"
    for sentence in reasons.turning_in_words(ruleset, told.turning):
        yield from _wrapped("  - ", sentence, room)


def account_as_json(told: "Account") -> dict[str, Json]:
    """Give the account as `--json` prints it beside the weighing."""
    return {
        "reasons": [
            {
                "cause": one.cause,
                "weights": [
                    {
                        "round": weight.round,
                        "id": weight.finding,
                        "answer": weight.answer.value,
                        "nats": weight.nats if isfinite(weight.nats) else None,
                    }
                    for weight in one.weights
                ],
            }
            for one in told.reasons
        ],
        "together": [
            {"causes": [pair.one, pair.other], "chance": pair.both, "if_apart": pair.apart}
            for pair in told.pairs
        ],
        "possible": [cause for cause, _ in told.remaining.possible],
        "ruled_out": [cause for cause, _ in told.remaining.ruled_out],
        "turns": [
            {
                "changes": [
                    {"round": one.round, "id": one.finding, "from": one.was.value, "to": one.instead.value}
                    for one in turn.changes
                ],
                "step": {"kind": turn.step.kind.value, "id": turn.step.id},
            }
            for turn in told.turning.turns
        ],
        "every_change_tried": told.turning.is_whole,
    }


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
        yield from _wrapped("  ", not_exact(advice.belief), room)


def _wrapped(lead: str, text: str, room: int) -> Iterator[str]:
    """Break a text into lines under `lead`, which stands before the first."""
    indent = cells(lead)
    first, *rest = wrapped(text, max(20, room - indent), 50)
    yield lead + first
    yield from (" " * indent + line for line in rest)
