"""Ids, one type for each kind of entry, checked once when a ruleset is built.

From there on the type checker refuses a remedy where a cause is meant. They are plain text at
run time, so that they sort, print and compare as an author wrote them.
"""

import re
from typing import Final, NewType

RulesetId = NewType("RulesetId", str)
PriorityId = NewType("PriorityId", str)
FindingId = NewType("FindingId", str)
"""A symptom or a sign."""
CauseId = NewType("CauseId", str)
RemedyId = NewType("RemedyId", str)
"""A remedy or a rest."""
QuantityId = NewType("QuantityId", str)
ProfileId = NewType("ProfileId", str)
"""A target thickness under `thickness`."""
ZoneId = NewType("ZoneId", str)
ToolId = NewType("ToolId", str)
SourceId = NewType("SourceId", str)
ChartId = NewType("ChartId", str)
ChartStepId = NewType("ChartStepId", str)

LONGEST: Final = 64
RESERVED: Final = frozenset({"ready", "accept", "set-aside", "rest", "null"})
"""Words that stand for a step or for nothing, and so cannot name an entry."""

ENTRY_SECTIONS: Final = frozenset(
    {
        "symptoms",
        "signs",
        "causes",
        "remedies",
        "rests",
        "quantities",
        "tools",
        "zones",
        "sources",
        "thickness",
        "charts",
    }
)
"""Sections of a ruleset that map ids to entries."""

_SHAPE: Final = re.compile(r"[a-z][a-z0-9]*(?:-[a-z0-9]+)*")


def is_well_formed(text: str) -> bool:
    """Whether `text` has the shape of an id: words of a-z and 0-9 joined by single hyphens.

    >>> is_well_formed("tip-too-thick"), is_well_formed("Tip"), is_well_formed("a--b")
    (True, False, False)
    """
    return len(text) <= LONGEST and _SHAPE.fullmatch(text) is not None
