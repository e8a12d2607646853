"""Pages to read: all reasons for a step, the ruleset as an outline, and the keys."""

from collections.abc import Iterable, Sequence
from math import isinf
from typing import Final

from textual.binding import Binding
from textual.content import Content

from engine.explain import CauseReasons, weight_in_words
from engine.interview import AskCard, Card, DoCard, RestCard, StopCard
from engine.step import Advice, Weighed
from engine.wording import title_of
from tui.app import keys
from tui.app.trail import SIGN
from tui.desk import Desk
from tui.draw.literal import literal
from tui.language import worded
from tui.words import OPENING, answered_when, chance_word, per_cent

LEAST_CHANCE: Final = 0.01
MOST_STEPS: Final = 8


def why_page(desk: Desk, reasons: Sequence[CauseReasons]) -> Content:
    """Give every reason for the card, then what speaks for and against each cause, then what was weighed."""
    interview, ruleset = desk.interview, desk.ruleset
    advice = interview.advice
    parts = [_sentences(_why(interview.card, advice))]
    if reasons:
        lines = [line for one in reasons for line in _for_and_against(one, desk)]
        parts.append(_block(worded("What speaks for and against the leading causes (log-odds)"), lines))
    causes = [
        Content.assemble(
            (f"{per_cent(chance):>10}  ", "bold"),
            literal(ruleset.cause[id_].title),
            (f"  {chance_word(chance)}", "$quiet"),
        )
        for id_, chance in advice.belief.causes
        if chance >= LEAST_CHANCE
    ]
    if causes:
        parts.append(_block(worded("All causes that are not as good as ruled out"), causes))
    if advice.ranked:
        weighed = [
            Content.assemble(
                (f"{_cost(one):>10}  ", "bold"),
                literal(title_of(ruleset, one)),
            )
            for one in advice.ranked[:MOST_STEPS]
        ]
        parts.append(
            _block(worded("Steps that were weighed, by the minutes that they lead to expect"), weighed)
        )
    later = [Content(literal(finding.title)) for finding in interview.counts_later]
    if later:
        parts.append(_block(worded("Not yet counted against a reed of this sitting"), later))
    return Content("\n\n").join(part for part in parts if part.plain)


def _for_and_against(one: CauseReasons, desk: Desk) -> list[Content]:
    ruleset, case = desk.ruleset, desk.interview.case
    lines = [
        Content.assemble(
            (literal(ruleset.cause[one.cause].title), "bold"),
            (f"  {chance_word(one.chance)}, {per_cent(one.chance)}", "$quiet"),
        )
    ]
    for weight in one.weights:
        figure = "" if isinf(weight.nats) else f" ({weight.nats:+.1f})"
        lines.append(
            Content.assemble(
                (f"   {SIGN[weight.answer]} {worded(weight.answer.value):<9} ", "$quiet"),
                literal(ruleset.finding[weight.finding].title),
                (f"  {worded(weight_in_words(weight.nats))}{figure}", "$quiet"),
                (f"  {literal(answered_when(ruleset, case, weight.round))}", "italic $quiet"),
            )
        )
    return lines


def keys_page(groups: Iterable[tuple[str, Sequence[Binding]]]) -> Content:
    """Give keys under their headings, each with what it does."""
    parts = []
    for heading, bindings in groups:
        lines = [
            Content.assemble(
                (f"{keys.shown(one):>7}  ", "bold"),
                f"{worded(one.description):<19}",
                (worded(one.tooltip), "$quiet"),
            )
            for one in bindings
        ]
        parts.append(_block(heading, lines))
    return Content("\n\n").join(parts)


def _cost(one: Weighed) -> str:
    return worded("first") if one.cost is None else worded("{cost} min", cost=f"{one.cost:.1f}")


def _block(heading: str, lines: Sequence[Content]) -> Content:
    return Content("\n").join([Content.styled(heading, "underline"), *lines])


def _sentences(why: Sequence[str]) -> Content:
    return Content("\n").join(Content.assemble(("· ", "$quiet"), literal(one)) for one in why)


def _why(card: Card, advice: Advice) -> tuple[str, ...]:
    if isinstance(card, AskCard) and card.opening:
        return (worded(OPENING),)
    if isinstance(card, DoCard | RestCard) and card.operation is not None and card.operation.why:
        return (*card.why, card.operation.why)
    if isinstance(card, AskCard | DoCard | RestCard | StopCard):
        return card.why
    return advice.step.why if advice.step is not None else ()
