"""Which entries were renamed: a guess, made where an entry is gone and one much like it is new.

Taken kind by kind in the order in which entries refer to one another, so that a cause is compared
under the new names of the findings that it shows.
"""

from collections.abc import Iterator, Mapping
from typing import Final

from kb.compare.meaning import meanings
from kb.compare.said import Meant, Renames, Said, Section
from kb.model import Ruleset
from kb.naming import Kind

LIKE: Final = 0.75
"""How much of what two entries say must be alike for one to be the other renamed."""
_MOST_PAIRS: Final = 900
"""Pairs compared letter by letter; of more, only entries that say exactly the same are paired."""
_LONGEST: Final = 200
"""Letters of a text that are compared."""

_ORDER: Final[tuple[tuple[Kind, frozenset[Section]], ...]] = (
    (Kind.TOOL, frozenset({Section.TOOLS})),
    (Kind.ZONE, frozenset({Section.ZONES})),
    (Kind.SOURCE, frozenset({Section.SOURCES})),
    (Kind.PRIORITY, frozenset({Section.PRIORITIES})),
    (Kind.QUANTITY, frozenset({Section.QUANTITIES})),
    (Kind.PROFILE, frozenset({Section.THICKNESS})),
    (Kind.FINDING, frozenset({Section.SYMPTOMS, Section.SIGNS})),
    (Kind.CAUSE, frozenset({Section.CAUSES})),
    (Kind.OPERATION, frozenset({Section.REMEDIES, Section.RESTS})),
    (Kind.CHART, frozenset({Section.CHARTS})),
)


def renames(before: Ruleset, after: Ruleset) -> Renames:
    """Give, for each kind, which ids of `before` are called what in `after`."""
    found: dict[Kind, Mapping[str, str]] = {}
    ours, theirs = meanings(before), meanings(after)
    for kind, sections in _ORDER:
        old = {one.id for one in ours if one.section in sections}
        new = {one.id: one for one in theirs if one.section in sections}
        come = [one for id_, one in new.items() if id_ not in old]
        if not come or old <= new.keys():
            continue
        if any(found.values()):
            ours = meanings(before, found)  # under the new names of what they refer to
        gone = [one for one in ours if one.section in sections and one.id not in new]
        found[kind] = dict(_pairs(gone, come))
    return found


def _pairs(gone: list[Meant], come: list[Meant]) -> Iterator[tuple[str, str]]:
    """Pair what is most alike first; each entry at most once."""
    same: dict[frozenset[object], Meant] = {_content(one): one for one in reversed(come) if _content(one)}
    left, taken = [], set[str]()
    for one in gone:
        twin = same.get(_content(one))
        if twin is None or twin.id in taken:
            left.append(one)
        else:
            taken.add(twin.id)
            yield one.id, twin.id
    free = [one for one in come if one.id not in taken]
    if len(left) * len(free) > _MOST_PAIRS:
        return
    scored = sorted(
        ((_likeness(one, other), one.id, other.id) for one in left for other in free),
        key=lambda pair: (-pair[0], pair[1], pair[2]),
    )
    done = set[str]()
    for score, old, new in scored:
        if score >= LIKE and old not in done and new not in taken:
            done.add(old)
            taken.add(new)
            yield old, new


def _content(one: Meant) -> frozenset[object]:
    return frozenset((key, said.words) for key, said in one.says.items() if not said.is_usual)


def _likeness(one: Meant, other: Meant) -> float:
    """Give the share of what either says, beyond what is usual, that both say."""
    told = [key for key, said in one.says.items() if not said.is_usual]
    told += [key for key, said in other.says.items() if not said.is_usual and key not in told]
    if not told:
        return 0.0
    return sum(_alike(one.says.get(key), other.says.get(key)) for key in told) / len(told)


def _alike(one: Said | None, other: Said | None) -> float:
    if one is None or other is None:
        return 0.0
    if one.means == other.means:
        return 1.0
    if not isinstance(one.means, str) or not isinstance(other.means, str):
        return 0.0
    from difflib import SequenceMatcher  # noqa: PLC0415 - 4 ms that rulesets with the same ids do not pay

    return SequenceMatcher(None, one.means[:_LONGEST], other.means[:_LONGEST], autojunk=False).ratio()
