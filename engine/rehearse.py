"""Rehearsal: ways of working, played on the same virtual reeds, and what came of them.

    players = [policy_called(ruleset, name) for name in names]
    records = [record for record in played(ruleset, players, range(2000), source_of)]
    for summary in summed(names, records): ...

A reed and its luck follow from its number alone (`source_of` gives the source of chance for a
number), so it does not matter who plays which reed, in which order, in how many processes.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from engine.following import Advised
from engine.interval import Mean, Share, mean_of, share_of
from engine.playing import Played, Policy, play
from engine.policies import Charted, CheapestQuestion, Gain, InOrder, Likeliest
from engine.virtual import Source, drawn_with_a_symptom
from kb.ids import CauseId
from kb.model import Ending, Ruleset

ENGINE: Final = "engine"
CHART: Final = "chart:"
_MAKERS: Final[Mapping[str, Callable[[Ruleset], Policy]]] = MappingProxyType(
    {
        "likeliest": Likeliest,
        "likeliest-strict": lambda ruleset: Likeliest(ruleset, strict=True, name="likeliest-strict"),
        "likeliest-bare": lambda ruleset: Likeliest(ruleset, opening=False, name="likeliest-bare"),
        "gain": Gain,
        "gain-strict": lambda ruleset: Gain(ruleset, strict=True, name="gain-strict"),
        "gain-bare": lambda ruleset: Gain(ruleset, opening=False, name="gain-bare"),
        "in-order": InOrder,
        "cheapest-question": CheapestQuestion,
    }
)


@dataclass(frozen=True, slots=True)
class Record:
    """One reed, worked on in every way."""

    number: int
    played: tuple[Played, ...]
    """In the order of the policies."""


@dataclass(frozen=True, slots=True)
class CauseSummary:
    """What one way of working made of the reeds that had one cause at the start, whatever else they had."""

    cause: CauseId
    reeds: int
    minutes: Mean
    cuts: Mean
    ready: Share
    ruined: Share


@dataclass(frozen=True, slots=True)
class Summary:
    """What one way of working made of all reeds."""

    policy: str
    reeds: int
    minutes: Mean
    questions: Mean
    cuts: Mean
    forbidden_cuts: Mean
    """Cuts done while, in truth, something showed that forbids them."""
    sittings: Mean
    ready: Share
    accepted: Share
    set_aside: Share
    left_open: Share
    """Ended without a verdict, or went on for ever."""
    ruined: Share
    false_ready: Share
    """Of the reeds called ready, those on which something that counts still showed."""
    by_cause: tuple[CauseSummary, ...]
    """By id; a cause that no reed had is left out."""


def policies_of(ruleset: Ruleset) -> tuple[str, ...]:
    """Give the names of all ways of working that can be played under `ruleset`."""
    charts = tuple(f"{CHART}{chart.id}" for chart in ruleset.charts)
    return (ENGINE, *_MAKERS, *charts)


def policy_called(ruleset: Ruleset, name: str) -> Policy:
    """Give the way of working called `name`. Raises KeyError when there is none."""
    if name == ENGINE:
        return Advised(ruleset)
    for chart in ruleset.charts:
        if name == f"{CHART}{chart.id}":
            return Charted(ruleset, chart)
    return _MAKERS[name](ruleset)


def played(
    ruleset: Ruleset, policies: Sequence[Policy], numbers: Iterable[int], source_of: Callable[[int], Source]
) -> Iterator[Record]:
    """Play the reeds of these numbers, one after another. A number whose draw has no symptom is skipped."""
    for number in numbers:
        found = []
        for policy in policies:
            source = source_of(number)
            reed = drawn_with_a_symptom(ruleset, source)
            if reed is not None:
                found.append(play(ruleset, policy, reed, source))
        if found:
            yield Record(number, tuple(found))


def summed(names: Sequence[str], records: Iterable[Record]) -> tuple[Summary, ...]:
    """Sum up all records, one summary for each policy. The order of the records does not matter."""
    ordered = sorted(records, key=lambda record: record.number)
    return tuple(
        _summary(name, [record.played[place] for record in ordered]) for place, name in enumerate(names)
    )


def _summary(name: str, every: Sequence[Played]) -> Summary:
    ended = [one.ending for one in every]
    ready = [one for one in every if one.ending is Ending.READY]
    causes = sorted({cause for one in every for cause in one.hidden})
    return Summary(
        policy=name,
        reeds=len(every),
        minutes=mean_of([one.minutes for one in every]),
        questions=mean_of([float(one.questions) for one in every]),
        cuts=mean_of([float(one.cuts) for one in every]),
        forbidden_cuts=mean_of([float(one.forbidden_cuts) for one in every]),
        sittings=mean_of([float(one.sittings) for one in every]),
        ready=share_of(len(ready), len(every)),
        accepted=share_of(ended.count(Ending.ACCEPT), len(every)),
        set_aside=share_of(ended.count(Ending.SET_ASIDE), len(every)),
        left_open=share_of(ended.count(None), len(every)),
        ruined=share_of(sum(one.is_ruined for one in every), len(every)),
        false_ready=share_of(sum(not one.is_sound for one in ready), len(ready)),
        by_cause=tuple(_of_cause(cause, [one for one in every if cause in one.hidden]) for cause in causes),
    )


def _of_cause(cause: CauseId, having: Sequence[Played]) -> CauseSummary:
    return CauseSummary(
        cause=cause,
        reeds=len(having),
        minutes=mean_of([one.minutes for one in having]),
        cuts=mean_of([float(one.cuts) for one in having]),
        ready=share_of(sum(one.ending is Ending.READY for one in having), len(having)),
        ruined=share_of(sum(one.is_ruined for one in having), len(having)),
    )
