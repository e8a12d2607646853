"""What tuning found, in words and as JSON."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from engine.tuning.chances import Kind, Slot
from engine.tuning.evidence import Gathered
from engine.tuning.outcomes import Change, TrialChange
from engine.tuning.proposals import Proposal, Refusal
from engine.tuning.tune import Tuned
from kb.model import WORDS, Ruleset
from kb.tuned import Moved
from tui.cli.saying import Json

DIGITS: Final = 6
"""After the point, in JSON: more would only tell one machine from another."""
SHOWN: Final = 12
"""Trials told of that come out otherwise, unless all are asked for."""
_COMMON: Final = frozenset({"common", "occasional", "rare"})
_WHY: Final = {
    Refusal.FEW: "too little evidence",
    Refusal.MAKERS_DIFFER: "the logs contradict one another",
    Refusal.WITHIN: "what the author wrote is within the interval",
}


@dataclass(frozen=True, slots=True)
class Lesson:
    """Everything that was learnt about one ruleset."""

    ruleset: Ruleset
    reeds: Gathered
    tuned: Tuned
    trust: int
    changes: tuple[Change, ...]
    trials: tuple[TrialChange, ...]

    @property
    def counted(self) -> int:
        """How many reeds were learnt from."""
        return len(self.tuned.fit.reeds)


def told_lines(lesson: Lesson, *, with_rest: bool) -> Iterator[str]:
    """Give the report, line by line, each still to be broken to the width."""
    yield from learnt_from(lesson)
    yield ""
    for one in lesson.tuned.accepted:
        yield f"{subject(one.slot)}: {_before(lesson.ruleset, one)} → {_after(lesson.ruleset, one)}"
        yield f"  {evidence(one)}{_trials_of(lesson, one.slot)}"
    if not lesson.changes:
        yield "Nothing is proposed."
    if lesson.tuned.is_overdone:
        yield "What fits would make reeds that were held back less likely, so it is not proposed."
    yield from _what_stays(lesson)
    if with_rest:
        for one in lesson.tuned.proposals:
            if one.refusal is not None:
                yield f"{subject(one.slot)} stays {_before(lesson.ruleset, one)}: {_WHY[one.refusal]}"
                yield f"  {evidence(one)}"
    yield from _trial_lines(lesson, None if with_rest else SHOWN)


def learnt_from(lesson: Lesson) -> Iterator[str]:
    """Say what was learnt from, what was left out, and how it did on reeds that were held back."""
    found, reeds = lesson.tuned, lesson.reeds
    makers = len({reeds.reeds[number].maker for number in found.fit.reeds})
    logs = "" if makers < 2 else f" of {makers} logs"
    yield (
        f"Learnt from {lesson.counted} {_reeds(lesson.counted)}{logs}; the author's word counts as "
        f"{lesson.trust} reeds."
    )
    left = [
        (len(found.impossible), "whose answers cannot all be true by this ruleset"),
        (reeds.repeated + found.repeated, "entered more than once"),
        (reeds.strangers, "judged by another ruleset"),
        (reeds.silent, "of which nothing was told that this ruleset knows"),
    ]
    said = [f"{number} {why}" for number, why in left if number]
    if said:
        yield f"Left out: {'; '.join(said)}."
    if reeds.shortened:
        yield (
            f"Of {reeds.shortened} {_reeds(reeds.shortened)} only the first rounds were counted: the rest "
            "is too wide to weigh, or comes after a remedy that the ruleset lacks."
        )
    if not found.fit.settled:
        yield "The fit had not quite settled when it was stopped."
    held = found.held_out
    if held is not None:
        yield (
            f"On reeds that were held back, the chance of a reed's answers, as a natural logarithm: "
            f"{held.before:.3f} before, {held.after:.3f} after, {held.gain:+.3f} a reed "
            f"(give or take {held.give_or_take:.3f})."
        )
    else:
        yield "Too few reeds to hold some back and try it on them."


def _what_stays(lesson: Lesson) -> Iterator[str]:
    counts = Counter(one.refusal for one in lesson.tuned.proposals if one.refusal is not None)
    said = [f"{counts[why]} where {words}" for why, words in _WHY.items() if counts[why]]
    if said:
        yield f"What stays as it was: {'; '.join(said)}."


def _trial_lines(lesson: Lesson, most: int | None) -> Iterator[str]:
    if not lesson.changes:
        return
    if not lesson.ruleset.trials:
        yield "The ruleset has no trials, so nobody can say what this does to its advice."
        return
    if not lesson.trials:
        yield f"No trial of the ruleset comes out otherwise (it has {len(lesson.ruleset.trials)})."
        return
    yield f"Trials that come out otherwise: {len(lesson.trials)} of {len(lesson.ruleset.trials)}."
    # What an author must see first: a trial that passed, and fails now.
    told = sorted(lesson.trials, key=lambda one: one.passed != (True, False))
    for one in told[:most]:
        verdict = {
            (True, False): "passed, FAILS now",
            (False, True): "failed, passes now",
            (True, True): "passes still",
            (False, False): "fails still",
        }[one.passed]
        yield f"  {one.title}: {verdict}{_otherwise(one)}"
    if most is not None and len(told) > most:
        yield f"  and {len(told) - most} more; --all tells them"


def _otherwise(one: TrialChange) -> str:
    parts = []
    if one.step[0] != one.step[1]:
        parts.append(f"proposed {one.step[0] or 'nothing'}, now {one.step[1] or 'nothing'}")
    if one.cause[0] != one.cause[1]:
        parts.append(f"likeliest {one.cause[0] or 'nothing'}, now {one.cause[1] or 'nothing'}")
    return f"; {', '.join(parts)}" if parts else ""


def _trials_of(lesson: Lesson, slot: Slot) -> str:
    number = sum(slot in one.by for one in lesson.trials)
    return f"; alone it changes {number} {'trial' if number == 1 else 'trials'}" if number else ""


def subject(slot: Slot) -> str:
    """Say what a chance is about.

    >>> from kb.ids import CauseId
    >>> subject(Slot(Kind.HOW_COMMON, CauseId("damp-block")))
    'how common damp-block is'
    """
    if slot.kind is Kind.HOW_COMMON:
        return f"how common {slot.cause} is"
    if slot.kind is Kind.SHOWS:
        return f"{slot.cause} shows {slot.finding}"
    return f"{slot.operation} cures {slot.cause}"


def evidence(one: Proposal) -> str:
    """Say on what a proposal stands."""
    return (
        f"on {one.reeds:.0f} {_reeds(round(one.reeds))}, worth {one.worth:.0f} seen plainly; "
        f"at 95 %: {_interval(one.before_interval)} before, {_interval(one.after_interval)} after"
    )


def _interval(ends: tuple[float, float]) -> str:
    return f"{ends[0]:.2f} to {ends[1]:.2f}"


def _reeds(number: int) -> str:
    return "reed" if number == 1 else "reeds"


def _before(ruleset: Ruleset, one: Proposal) -> str:
    word = _stated_word(ruleset, one.slot)
    return f"{word} ({one.before:g})" if word else f"{one.before:g}"


def _after(ruleset: Ruleset, one: Proposal) -> str:
    word = near_word(ruleset, one)
    return f"{one.after:g}, about {word}" if word else f"{one.after:g}"


def _stated_word(ruleset: Ruleset, slot: Slot) -> str:
    cause = ruleset.cause[slot.cause]
    if slot.kind is Kind.HOW_COMMON:
        return cause.word
    if slot.finding is not None:
        return next(show.word for show in cause.shows if show.finding == slot.finding)
    operation = next(one for one in ruleset.operations if one.id == slot.operation)
    return next(effect.word for effect in operation.cures if effect.cause == slot.cause)


def near_word(ruleset: Ruleset, one: Proposal) -> str:
    """Give the ruleset's word that lies within a quarter of the interval of what is proposed, or nothing."""
    is_common = one.slot.kind is Kind.HOW_COMMON
    fits = [
        (abs(value - one.after), word)
        for word, value in ruleset.words
        if word not in WORDS or (word in _COMMON) == is_common
    ]
    room = (one.after_interval[1] - one.after_interval[0]) / 4.0
    distance, word = min(fits, default=(1.0, ""))
    return word if distance <= room else ""


def moved(lesson: Lesson) -> Sequence[Moved]:
    """Give what the layer says, each with its evidence."""
    rests = {one.id for one in lesson.ruleset.rests}
    return tuple(
        Moved(
            "causes"
            if one.slot.operation is None
            else "rests"
            if one.slot.operation in rests
            else "remedies",
            one.slot.operation or one.slot.cause,
            one.slot.kind.value,
            one.slot.cause if one.slot.operation is not None else one.slot.finding or "",
            one.after,
            f"was {_before(lesson.ruleset, one)}; {evidence(one)}",
        )
        for one in lesson.tuned.accepted
    )


def as_json(lesson: Lesson) -> Json:
    """Give everything as JSON."""
    found, reeds, held = lesson.tuned, lesson.reeds, lesson.tuned.held_out
    return {
        "ruleset": lesson.ruleset.id,
        "version": lesson.ruleset.version,
        "trust": lesson.trust,
        "reeds": lesson.counted,
        "left_out": {
            "impossible": len(found.impossible),
            "repeated": reeds.repeated + found.repeated,
            "strangers": reeds.strangers,
            "silent": reeds.silent,
        },
        "shortened": reeds.shortened,
        "passes": len(found.fit.history) - 1,
        "settled": found.fit.settled,
        "held_out": None
        if held is None
        else {
            "reeds": held.reeds,
            "before": round(held.before, DIGITS),
            "after": round(held.after, DIGITS),
            "give_or_take": round(held.give_or_take, DIGITS),
        },
        "proposals": [_proposal_json(lesson, one) for one in found.accepted],
        "stays": [
            {**_chance_json(lesson, one), "why": one.refusal.value}
            for one in found.proposals
            if one.refusal is not None
        ],
        "trials": [
            {
                "title": one.title,
                "passed": list(one.passed),
                "step": list(one.step),
                "cause": list(one.cause),
            }
            for one in lesson.trials
        ],
    }


def _proposal_json(lesson: Lesson, one: Proposal) -> Json:
    alone = [trial.title for trial in lesson.trials if one.slot in trial.by]
    return {**_chance_json(lesson, one), "near": near_word(lesson.ruleset, one) or None, "trials": alone}


def _chance_json(lesson: Lesson, one: Proposal) -> dict[str, Json]:
    slot = one.slot
    return {
        "kind": slot.kind.value,
        "cause": slot.cause,
        "finding": slot.finding,
        "operation": slot.operation,
        "from": one.before,
        "word": _stated_word(lesson.ruleset, slot) or None,
        "to": round(one.after, DIGITS),
        "reeds": round(one.reeds, 2),
        "worth": round(one.worth, 2),
        "before": [round(end, DIGITS) for end in one.before_interval],
        "after": [round(end, DIGITS) for end in one.after_interval],
    }
