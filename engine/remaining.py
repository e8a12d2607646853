"""What is still possible: the causes that could be behind the trouble, and those that answers ruled out."""

from dataclasses import dataclass

from engine.belief import Belief
from engine.case import Case
from engine.findings import latest_told
from kb.ids import CauseId
from kb.model import Ruleset

FAINT = 0.02
"""Chance below which a cause counts as ruled out for now."""


@dataclass(frozen=True, slots=True)
class Remaining:
    """The causes that show what is wrong, by falling chance."""

    possible: tuple[tuple[CauseId, float], ...]
    ruled_out: tuple[tuple[CauseId, float], ...]
    """Those that answers, and not their rarity alone, brought below `FAINT`."""


def remaining(ruleset: Ruleset, case: Case, belief: Belief) -> Remaining:
    """Part the causes that show a present finding into possible and ruled out."""
    present = {
        finding.id
        for finding in ruleset.findings
        if (latest := latest_told(ruleset, case, finding.id)) is not None and latest[1].is_present
    }
    concerned = [
        (cause, chance)
        for cause, chance in belief.causes
        if any(show.finding in present for show in ruleset.cause[cause].shows)
    ]
    return Remaining(
        tuple((cause, chance) for cause, chance in concerned if chance >= FAINT),
        tuple(
            (cause, chance)
            for cause, chance in concerned
            if chance < FAINT and chance < ruleset.cause[cause].how_common
        ),
    )
