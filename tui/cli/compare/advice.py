"""What `compare` says of advice: where it differs, how reeds end, and how much was tried."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from statistics import fmean
from typing import Final

from engine.case import Case
from engine.differing import Difference, Ended, Opinion, Part, Sighting, Summed, summed
from engine.playing import Played
from engine.step import ANY_REST, Kind
from engine.twonames import Voice
from kb.ids import CauseId, FindingId, QuantityId, RemedyId
from kb.model import Ending
from tui.cli.saying import Json
from tui.draw.cells import hung
from tui.words import per_cent

HEADINGS: Final = {
    Part.DOES: "Advice: what is done otherwise",
    Part.ASKS: "Advice: what is asked otherwise",
    Part.CAUSE: "Advice: the same step, and another cause thought likeliest",
}
SHOWN: Final = 8
"""Differences of one kind that are told; --json gives all."""
MISSED: Final = 0.05
"""The chance with which a difference may have been missed that is as frequent as the report says."""
DIGITS: Final = 6
_NUMBERS: Final = ("no", "this", "these two", "these three", "these four", "these five", "these six")
_ENDS: Final = {
    Ending.READY: "ready",
    Ending.ACCEPT: "taken as it is",
    Ending.SET_ASIDE: "set aside",
    None: "left without a verdict",
}


@dataclass(frozen=True, slots=True)
class Tried:
    """What was tried, of what was to be."""

    before: Voice
    after: Voice
    found: Sequence[Sighting]
    reeds: int
    seed: int

    @property
    def ends(self) -> list[tuple[Sighting, Ended]]:
        """The reeds that were worked on."""
        return [(one, one.ended) for one in self.found if one.ended is not None]

    @property
    def missed_below(self) -> float:
        """A difference that a smaller share of reeds meets may well have been missed.

        The share p at which none of n reeds meets it with a chance of 5 %: (1 - p)^n = 0.05.
        """
        return 1.0 - float(MISSED ** (1 / len(self.ends))) if self.ends else 1.0


def advice_lines(tried: Tried, width: int) -> Iterator[str]:
    """Tell where advice differs."""
    groups = summed(tried.found)
    for part, heading in HEADINGS.items():
        own = [one for one in groups if one.difference.part is part]
        if own:
            yield ""
            yield from hung(heading, width)
        for number, one in enumerate(own[:SHOWN]):
            if number:
                yield ""
            yield from _difference(tried, one, width)
        if len(own) > SHOWN:
            yield from hung(f"  and {len(own) - SHOWN} more, rarer or as rare; --json gives all", width)
    if not groups:
        yield ""
        yield "Advice: no difference was met."
    if tried.ends:
        yield ""
        yield "How the reeds end"
        for line in _ends(tried):
            yield from hung(f"  {line}", width)
    yield ""
    yield from hung(_sample(tried), width)


def _difference(tried: Tried, one: Summed, width: int) -> Iterator[str]:
    met = [f"{one.reeds} of {len(tried.ends)} reeds"] if one.reeds else []
    met += [f"the worked case “{title}”" for title in one.trials[:2]]
    if len(one.trials) > 2:
        met.append(f"{len(one.trials) - 2} more worked cases")
    yield from hung(f"  {_heading(one.difference.case)} ({', '.join(met)}):", width)
    for line in _case(tried, one.difference.case):
        yield from hung(f"    {line}", width)
    for letter, voice, opinion in (
        ("A", tried.before, one.difference.before),
        ("B", tried.after, one.difference.after),
    ):
        yield from hung(f"  {letter} {_opinion(voice, opinion)}", width)


def _heading(case: Case) -> str:
    told = sum(len(one.answers) + len(one.readings) for one in case.rounds)
    if len(case.rounds) > 1:
        return f"In {len(case.rounds)} rounds"
    if told == 0:
        return "With nothing known"
    answers = "answer" if told == 1 else "answers"
    return f"With {_NUMBERS[told] if told < len(_NUMBERS) else f'these {told}'} {answers}"


def _case(tried: Tried, case: Case) -> Iterator[str]:
    for number, one in enumerate(case.rounds):
        if len(case.rounds) > 1:
            yield f"round {number + 1}, sitting {one.sitting}:"
        elif one.sitting > 1:
            yield f"at sitting {one.sitting}"
        for id_, answer in one.answers:
            yield f"{answer}: {_finding(tried, id_)}"
        for quantity, value in one.readings:
            yield f"{value:g}: {_quantity(tried, quantity)}"
        if one.gap is not None:
            yield f"then {_operation(tried, one.gap.operation)}"


def _either(tried: Tried, id_: str) -> tuple[Voice, str]:
    """Give whose entry this is: B's where it has it, for that name is the newer one."""
    after = tried.after.ruleset
    known = id_ in after.finding or id_ in after.quantity or id_ in after.operation
    voice = tried.after if known else tried.before
    return voice, voice.named(id_)


def _finding(tried: Tried, id_: str) -> str:
    voice, own = _either(tried, id_)
    known = [
        letter for letter, one in (("A", tried.before), ("B", tried.after)) if one.finding(id_) is not None
    ]
    only = f", only in {known[0]}" if len(known) == 1 else ""
    return f"{voice.ruleset.finding[FindingId(own)].ask} ({own}{only})"


def _quantity(tried: Tried, id_: str) -> str:
    voice, own = _either(tried, id_)
    return f"{voice.ruleset.quantity[QuantityId(own)].title} ({own})"


def _operation(tried: Tried, id_: str | None) -> str:
    if id_ is None:
        return "a night"
    voice, own = _either(tried, id_)
    return f"“{voice.ruleset.operation[RemedyId(own)].title}” ({own})"


def _opinion(voice: Voice, one: Opinion) -> str:
    if one.kind is None:
        return "finds that these answers cannot all be true"
    causes = " or ".join(
        f"“{voice.ruleset.cause[CauseId(voice.named(cause))].title}”" for cause in one.causes
    )
    likeliest = f"; likeliest: {causes}, {per_cent(one.chance)}" if causes else ""
    return f"{_step(voice, one.kind, voice.named(one.id))}{likeliest}"


def _step(voice: Voice, kind: Kind, own: str) -> str:
    match kind:
        case Kind.ASK:
            return f"asks “{voice.ruleset.finding[FindingId(own)].ask}” ({own})"
        case Kind.STOP:
            return {Ending.READY: "calls it ready", Ending.ACCEPT: "takes it as it is"}.get(
                Ending(own), "sets it aside"
            )
        case Kind.DO | Kind.REST:
            verb = "does" if kind is Kind.DO else "rests:"
            known = voice.ruleset.operation.get(RemedyId(own))
            if own == ANY_REST or known is None:
                return "leaves it until the next sitting"
            return f"{verb} “{known.title}” ({own})"


def _ends(tried: Tried) -> Iterator[str]:
    ends = tried.ends
    groups = Counter(
        ("A" if one.is_of_before else "B", _ENDS[ended.before.ending], _ENDS[ended.after.ending])
        for one, ended in ends
        if ended.differ
    )
    total = sum(groups.values())
    yield f"{total} of {len(ends)} reeds end otherwise{':' if total else '.'}"
    for (drawn, before, after), count in sorted(groups.items(), key=lambda pair: (-pair[1], pair[0])):
        yield f"{count} drawn from {drawn}: {before} by A, {after} by B"
    for letter, every in (("A", [end.before for _, end in ends]), ("B", [end.after for _, end in ends])):
        minutes, cuts = fmean(one.minutes for one in every), fmean(one.cuts for one in every)
        yield f"By {letter} a reed takes {minutes:.1f} minutes and {cuts:.2f} cuts that cannot be undone."


def _sample(tried: Tried) -> str:
    trials = sum(one.reed is None for one in tried.found)
    ends = tried.ends
    of_before = sum(one.is_of_before for one, _ in ends)
    cases = sum(one.cases for one in tried.found)
    drawn = f"{of_before} drawn from A, {len(ends) - of_before} from B, seed {tried.seed}"
    said = (
        f"Tried: {trials} worked {'case' if trials == 1 else 'cases'} and {len(ends)} virtual "
        f"{'reed' if len(ends) == 1 else 'reeds'} ({drawn}), {cases} cases in all."
    )
    too_wide = sum(one.too_wide for one in tried.found)
    if too_wide:
        said += f" {too_wide} more hang together too widely to be weighed."
    if not ends:
        return said + " No reed was tried, so nothing is said of what the worked cases do not meet."
    share = tried.missed_below
    few = per_cent(share) if share >= 0.01 else f"{share * 100:.1g} %"
    return said + (
        f" That is a sample: a difference that fewer than {few} of such reeds "
        "would meet may well have been missed."
    )


def advice_json(tried: Tried) -> Json:
    """Give the same for programs."""
    ends = tried.ends
    return {
        "seed": tried.seed,
        "reeds_wanted": tried.reeds,
        "reeds_tried": len(ends),
        "worked_cases": sum(one.reed is None for one in tried.found),
        "cases": sum(one.cases for one in tried.found),
        "too_wide": sum(one.too_wide for one in tried.found),
        "missed_below": round(tried.missed_below, DIGITS),
        "differences": [_difference_json(tried, one) for one in summed(tried.found)],
        "ends": [
            {
                "reed": one.reed,
                "drawn_from": "a" if one.is_of_before else "b",
                "hidden": list(ended.before.hidden),
                "a": _played_json(ended.before),
                "b": _played_json(ended.after),
            }
            for one, ended in ends
        ],
    }


def _difference_json(tried: Tried, one: Summed) -> Json:
    return {
        "part": one.difference.part.value,
        "reeds": one.reeds,
        "trials": list(one.trials),
        "a": _opinion_json(tried.before, one.difference, one.difference.before),
        "b": _opinion_json(tried.after, one.difference, one.difference.after),
    }


def _opinion_json(voice: Voice, difference: Difference, one: Opinion) -> Json:
    return {
        "kind": None if one.kind is None else one.kind.value,
        "id": voice.named(one.id) or None,
        "causes": [voice.named(cause) for cause in one.causes],
        "chance": round(one.chance, DIGITS),
        "rounds": _rounds_json(voice.seen(difference.case)),
    }


def _rounds_json(case: Case) -> Json:
    """Give a case as a rounds file, for `weigh --rounds`."""
    last = len(case.rounds) - 1
    return [
        {
            "given": {id_: answer.value for id_, answer in one.answers},
            "measure": dict(one.readings),
            "sitting": one.sitting,
            **({"then": one.gap.operation if one.gap is not None else None} if number < last else {}),
        }
        for number, one in enumerate(case.rounds)
    ]


def _played_json(one: Played) -> Json:
    return {
        "ending": None if one.ending is None else one.ending.value,
        "minutes": round(one.minutes, DIGITS),
        "cuts": one.cuts,
        "sound": one.is_sound,
    }
