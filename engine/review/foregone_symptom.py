"""Finds symptoms whose answer is all but known before anyone asks, by the chances of the ruleset alone.

With independent causes, a finding keeps away with chance (1 - leak) x the product of
(1 - how_common x strength): exact, and no reed is needed.
"""

from collections.abc import Iterator
from math import prod
from typing import Final

from engine.review.sample import Sample
from kb.checks.found import Found
from kb.model import Finding, Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("foregone-symptom")
NEARLY_CERTAIN: Final = 0.9
NEARLY_IMPOSSIBLE: Final = 0.002


def judge(sample: Sample) -> Iterator[Found]:
    """Point at each symptom, or sign with a priority, that nearly every reed has, or hardly any."""
    for finding in sample.ruleset.findings:
        if finding.priority is None or not _is_shown(sample.ruleset, finding):
            continue
        chance = chance_before(sample.ruleset, finding)
        if chance > NEARLY_CERTAIN:
            message = f"{finding.id!r} shows on {chance * 100:.0f} % of all reeds before anything is known"
            hint = "make its causes less common, or let them show it less often: now it tells little"
        elif chance < NEARLY_IMPOSSIBLE:
            message = f"{finding.id!r} shows on {chance * 1000:.1f} of 1000 reeds: hardly anyone answers yes"
            hint = "raise its leak, how common its causes are, or how often they show it"
        else:
            continue
        yield Found(finding, Problem(finding.place.key, NAME, message, hint, Severity.WARNING))


def chance_before(ruleset: Ruleset, finding: Finding) -> float:
    """Give the chance that a finding shows on a reed of which nothing is known.

    >>> from kb.ids import FindingId, RulesetId
    >>> from kb.model import Ruleset
    >>> alone = Finding(FindingId("late"), "Late?", "Late?", leak=0.25)
    >>> chance_before(Ruleset(RulesetId("r"), "R", "1"), alone)
    0.25
    """
    kept_away = (
        1.0 - cause.how_common * show.strength
        for cause in ruleset.causes
        for show in cause.shows
        if show.finding == finding.id
    )
    return 1.0 - (1.0 - finding.leak) * prod(kept_away)


def _is_shown(ruleset: Ruleset, finding: Finding) -> bool:
    # What no cause shows is told by `symptom-without-cause`.
    return any(show.finding == finding.id for cause in ruleset.causes for show in cause.shows)
