"""From logs to reeds that can be counted on: each reed once, and only what can be weighed exactly.

A reed that stands in several logs (handed over, exported twice) is known by its id and counts once. An
export without ids has none to know it by: reeds that tell the very same, though by the ruleset that
should hardly ever happen twice, count as one reed entered more than once (`once_each`).
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from math import exp, inf
from typing import Final

from engine.case import Case, case_of_entries
from engine.findings import Said, evidence_of
from engine.ground import ground_of
from engine.network import Network
from engine.refusal import TooWideError
from engine.tuning.counting import ReedCounts, Told
from kb.ids import RulesetId
from kb.log.entry import Entry, ReedId, RemedyDone, Rested
from kb.model import Ruleset

WIDEST: Final = 1 << 12
"""Sets that one reed's table may hold. Of a reed that would need more its last rounds are left out: what
is left is exact, and no single reed keeps all the others waiting."""
UNLIKELY_TWINS: Final = 0.01
"""Reeds that one should expect to tell the same as another, below which those that do are one reed."""


@dataclass(frozen=True, slots=True)
class LoggedReed:
    """One reed as one log tells it."""

    maker: int
    """Whose log, by number."""
    id: ReedId | None
    """None where the log does not say which reed it is."""
    entries: tuple[Entry, ...]
    """Those that stand, in order."""


@dataclass(frozen=True, slots=True)
class Gathered:
    """The reeds of all logs, and what was left out of them."""

    reeds: tuple[Told, ...]
    repeated: int = 0
    """Reeds that another log told as well."""
    strangers: int = 0
    """Reeds judged by another ruleset."""
    silent: int = 0
    """Reeds of which nothing was told that this ruleset knows."""
    shortened: int = 0
    """Reeds whose last rounds were left out: too wide to weigh, or past a remedy that the ruleset lacks."""


def gathered(
    ruleset: Ruleset, network: Network, logged: Iterable[LoggedReed], judged_by: Collection[RulesetId]
) -> Gathered:
    """Make reeds of logs. Counts those whose entries were made under the rulesets `judged_by`."""
    every = tuple(logged)
    named: dict[ReedId, LoggedReed] = {}
    for one in every:
        if one.id is not None and (one.id not in named or len(named[one.id].entries) < len(one.entries)):
            named[one.id] = one
    once = (*named.values(), *(one for one in every if one.id is None))
    own = [one for one in once if all(e.mark is None or e.mark.id in judged_by for e in one.entries)]
    told, shortened = [], 0
    for one in own:
        known, cut = _case(ruleset, one.entries)
        found = _exact(ruleset, network, known)
        if found is None:
            continue
        said, case, is_narrowed = found
        told.append(Told(said, case, one.maker))
        shortened += cut or is_narrowed
    return Gathered(
        tuple(told), len(every) - len(once), len(once) - len(own), len(own) - len(told), shortened
    )


def once_each(reeds: Sequence[Told], counts: Sequence[ReedCounts]) -> tuple[int, ...]:
    """Give the numbers of the reeds that count, the first of each that was entered more than once.

    `counts` say how likely each reed's answers are. Where so many reeds as there are should hardly
    ever tell the same twice, those that do are one reed.
    """
    alike: defaultdict[Case, list[int]] = defaultdict(list)
    for number, one in enumerate(reeds):
        alike[one.case].append(number)
    stays: list[int] = []
    for numbers in alike.values():
        likely = counts[numbers[0]].log_evidence
        twins = len(reeds) * exp(min(0.0, likely)) if likely > -inf else inf
        stays += numbers[:1] if twins < UNLIKELY_TWINS else numbers
    return tuple(sorted(stays))


def _case(ruleset: Ruleset, entries: Sequence[Entry]) -> tuple[Case, bool]:
    """Fold entries up to the first operation that the ruleset lacks: nobody can say what that one did."""
    for number, one in enumerate(entries):
        operation = one.what.remedy if isinstance(one.what, RemedyDone) else None
        operation = one.what.rest if isinstance(one.what, Rested) else operation
        if operation is not None and operation not in ruleset.operation:
            return case_of_entries(ruleset, entries[:number])[0], True
    return case_of_entries(ruleset, entries)[0], False


def _exact(
    ruleset: Ruleset, network: Network, case: Case
) -> tuple[tuple[tuple[Said, ...], ...], Case, bool] | None:
    """Give as many of the first rounds as can be weighed exactly, with what they say; None: nothing.

    Also says whether rounds that tell something had to be left out.
    """
    is_narrowed = False
    for rounds in range(len(case.rounds), 0, -1):
        kept = Case((*case.rounds[: rounds - 1], replace(case.rounds[rounds - 1], gap=None)))
        said = _counting_only(ruleset, network, kept)
        if not any(said):
            return None
        if not any(one.round == rounds - 1 for told in said for one in told):
            continue
        try:
            ground = ground_of(network, said, kept)
            ground.plan(ground.busy, widest=WIDEST)
        except TooWideError:
            is_narrowed = True
            continue
        return said, kept, is_narrowed
    return None


def _counting_only(ruleset: Ruleset, network: Network, case: Case) -> tuple[tuple[Said, ...], ...]:
    """Give what the case says, without anything said before the sitting from which a finding counts.

    Belief takes a no from then and lets a yes pass; to learn from the noes alone would make every such
    cause seem rarer than it is.
    """
    counts_from = [ruleset.finding[finding].counts_from_sitting for finding in network.findings]
    return tuple(
        tuple(one for one in told if case.rounds[one.round].sitting >= first)
        for first, told in zip(counts_from, evidence_of(ruleset, network, case), strict=True)
    )
