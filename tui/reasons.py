"""Sentences for the whole account of a step, the same in every front."""

from collections.abc import Iterator
from math import isinf

from engine.explain import CauseReasons, weight_in_words
from engine.remaining import Remaining
from engine.together import Pair
from engine.turning import MOST, Change, Turn, Turning
from engine.wording import title_of
from kb.ids import CauseId
from kb.model import Ruleset
from tui.language import worded
from tui.words import chance_word, per_cent


def for_and_against(ruleset: Ruleset, one: CauseReasons) -> Iterator[str]:
    """Say what each answer weighs for a cause, the strongest first."""
    for weight in one.weights:
        finding = ruleset.finding[weight.finding].title
        figure = "" if isinf(weight.nats) else f" ({weight.nats:+.1f})"
        told = worded(
            "{finding}: {answer} (round {round})",
            finding=finding,
            answer=worded(weight.answer.value),
            round=weight.round,
        )
        yield f"{told}: {worded(weight_in_words(weight.nats))}{figure}"


def pair_in_words(ruleset: Ruleset, pair: Pair) -> str:
    """Say how two causes hang together."""
    one, other = (f"“{ruleset.cause[id_].title}”" for id_ in (pair.one, pair.other))
    return worded(
        "{one} and {other}: rather the one or the other; both at once {chance}."
        if pair.is_either
        else "{one} and {other}: the one makes the other likelier; both at once {chance}.",
        one=one,
        other=other,
        chance=per_cent(pair.both),
    )


def remaining_in_words(ruleset: Ruleset, left: Remaining) -> Iterator[str]:
    """Say what could still be behind the trouble, and what was ruled out."""
    if left.possible:
        causes = "; ".join(_with_chance(ruleset, *one) for one in left.possible)
        yield worded("Still possible behind what shows: {causes}.", causes=causes)
    if left.ruled_out:
        causes = "; ".join(ruleset.cause[cause].title for cause, _ in left.ruled_out)
        yield worded("As good as ruled out by the answers: {causes}.", causes=causes)


def turning_in_words(ruleset: Ruleset, found: Turning) -> Iterator[str]:
    """Say which answers would have led to another step."""
    yield from (_turn(ruleset, turn) for turn in found.turns)
    if not found.turns and found.is_whole:
        yield worded("No one or two other answers would have led to another step.")
    elif not found.is_whole:
        yield worded(
            "Only the {count} nearest changes were tried, of {most} at most.", count=found.weighed, most=MOST
        )


def _turn(ruleset: Ruleset, turn: Turn) -> str:
    changes = f" {worded('and')} ".join(_change(ruleset, one) for one in turn.changes)
    return worded(
        "If {changes}, the step would be: {step}.", changes=changes, step=title_of(ruleset, turn.step)
    )


def _change(ruleset: Ruleset, one: Change) -> str:
    return worded(
        "“{finding}” had been {answer} instead of {other} (round {round})",
        finding=ruleset.finding[one.finding].title,
        answer=worded(one.instead.value),
        other=worded(one.was.value),
        round=one.round,
    )


def _with_chance(ruleset: Ruleset, cause: CauseId, chance: float) -> str:
    return f"{ruleset.cause[cause].title} ({chance_word(chance)}, {per_cent(chance)})"
