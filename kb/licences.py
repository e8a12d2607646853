"""Whether a ruleset under one licence may stand on another under its own: orientation, and no legal advice.

A ruleset that `extends` another, or is merged from it, is taken for an adaptation of it. What may be
put over what follows the adapter's licence chart of Creative Commons (its FAQ, "If I derive or adapt
material offered under a Creative Commons license, which CC license(s) can I use?", read as the
Eastern Florida State College library gives it, libguides.easternflorida.edu, and as p2pu.org does).
That a later version of a share-alike licence may be used is from the same FAQ; that CC BY-SA 4.0
goes into GPL-3.0 and the Free Art Licence 1.3 is from memory. Of every other licence nothing is said.
"""

import re
from collections.abc import Mapping
from enum import StrEnum
from typing import Final


class Fit(StrEnum):
    """Whether two licences go together."""

    YES = "yes"
    UNKNOWN = "unknown"
    NO = "no"


_CC: Final = re.compile(r"CC-(BY(?:-NC)?(?:-SA|-ND)?)-([1-4]\.[05])(?:-[A-Z]{2,3})?", re.IGNORECASE)
_FREE: Final = frozenset({"cc0-1.0", "cc-pddc", "pddl-1.0", "unlicense", "0bsd"})
"""SPDX names of waivers, and of works in the public domain."""
_MAY: Final[Mapping[str, frozenset[str]]] = {
    "BY": frozenset({"BY", "BY-NC", "BY-NC-ND", "BY-NC-SA", "BY-ND", "BY-SA"}),
    "BY-NC": frozenset({"BY-NC", "BY-NC-ND", "BY-NC-SA"}),
    "BY-SA": frozenset({"BY-SA"}),
    "BY-NC-SA": frozenset({"BY-NC-SA"}),
    "BY-ND": frozenset(),
    "BY-NC-ND": frozenset(),
}
"""The chart: under what an adaptation may be, by what the original is under."""
_ONE_WAY: Final = frozenset({"gpl-3.0", "gpl-3.0-only", "gpl-3.0-or-later", "lal-1.3"})
"""Into which a work under CC-BY-SA-4.0 may go."""
_ORIENTATION: Final = "That is orientation and no legal advice."


def fit(base: str, over: str) -> tuple[Fit, str]:
    """Say whether a ruleset under `over` may stand on one under `base`, and a sentence that says why.

    >>> fit("CC-BY-SA-4.0", "CC-BY-4.0")[0], fit("CC-BY-4.0", "CC-BY-SA-4.0")[0], fit("", "CC0-1.0")[0]
    (<Fit.NO: 'no'>, <Fit.YES: 'yes'>, <Fit.UNKNOWN: 'unknown'>)
    """
    said, why = _fit(base.strip(), over.strip())
    return said, f"{why} {_ORIENTATION}"


def _fit(base: str, over: str) -> tuple[Fit, str]:
    if not base:
        return Fit.UNKNOWN, "What it stands on says no licence: ask its author what you may do with it."
    if base.casefold() in _FREE:
        return Fit.YES, f"{base} asks for nothing."
    found = _CC.fullmatch(base)
    if found is None:
        return Fit.UNKNOWN, f"Nothing is known here of {base}: read it before you share this."
    own = _CC.fullmatch(over)
    if own is None:
        return _into_another(base, found[1].upper(), found[2], over)
    return _into_creative_commons(base, (found[1].upper(), found[2]), over, (own[1].upper(), own[2]))


def _into_creative_commons(
    base: str, old: tuple[str, str], over: str, new: tuple[str, str]
) -> tuple[Fit, str]:
    if not _MAY[old[0]]:
        return Fit.NO, f"{base} lets nobody share a changed work."
    if new[0] not in _MAY[old[0]]:
        return Fit.NO, f"A work changed from {base} may not be shared under {over}."
    if old[0].endswith("-SA") and new[1] < old[1]:
        return (
            Fit.NO,
            f"A work changed from {base} may go under a later version of that licence, not an earlier.",
        )
    return Fit.YES, f"A work changed from {base} may be shared under {over}."


def _into_another(base: str, kind: str, version: str, over: str) -> tuple[Fit, str]:
    name = over.casefold()
    if not _MAY[kind]:
        return Fit.NO, f"{base} lets nobody share a changed work."
    if not over:
        return Fit.NO, f"{base} asks that a changed work says its licence, and this ruleset says none."
    if kind == "BY-SA" and version == "4.0" and name in _ONE_WAY:
        return Fit.YES, f"{base} may go into {over}."
    if kind.endswith("-SA"):
        return Fit.NO, f"A work changed from {base} keeps that licence; {over} is another."
    if name in _FREE:
        return Fit.NO, f"{base} asks that its authors stay named, and {over} gives that up."
    return Fit.UNKNOWN, f"Nothing is known here of {over} over {base}: read both before you share this."
