"""Finds tools that are said to be harmless, and are called like one that is not."""

from collections.abc import Iterator
from typing import Final

from kb.checks.asked import english_words
from kb.checks.found import Found
from kb.model import Hazard, Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("harmless-sharp-tool")
SEVERITY: Final = Severity.WARNING


_HAZARDS: Final = {
    **dict.fromkeys(("knife", "knives", "blade", "razor", "scalpel", "cutter", "scissors"), Hazard.BLADE),
    **dict.fromkeys(("sandpaper", "emery", "abrasive"), Hazard.ABRASIVE),
    **dict.fromkeys(("file", "rasp"), Hazard.FILE),
    **dict.fromkeys(("reamer", "drill"), Hazard.REAMER),
    **dict.fromkeys(("mandrel", "awl"), Hazard.MANDREL),
    **dict.fromkeys(("pliers", "pincers", "wirecutters"), Hazard.PLIERS),
    **dict.fromkeys(("glue", "superglue", "epoxy", "lacquer", "varnish", "sealant"), Hazard.SEALANT),
}


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at `hazard: none` of each tool whose English name says otherwise."""
    if ruleset.language.partition("-")[0].lower() != "en":
        return
    for tool in ruleset.tools:
        if tool.hazard is not Hazard.NONE:
            continue
        meant = next((_HAZARDS[word] for word in english_words(tool.title) if word in _HAZARDS), None)
        if meant is not None:
            message = f"{tool.title!r} is said to be harmless"
            hint = f"write hazard: {meant}, so that whoever takes it into the hand is warned"
            yield Found(tool, Problem(tool.place.of("hazard"), NAME, message, hint, SEVERITY))
