"""Runs the checks and applies what authors allow. Knows no check by name but the last."""

from collections.abc import Iterator, Mapping
from itertools import islice
from types import MappingProxyType
from typing import Final

from kb.checks import allow_without_effect
from kb.checks.catalogue import CATALOGUE, Stage
from kb.checks.found import Entry, Found, every_entry
from kb.model import Ruleset
from kb.naming import UNKNOWN_REFERENCE
from kb.nearest import hint, nearest, only
from kb.patch import over
from kb.problem import CheckName, Problem, Severity

_MOST: Final = 500
"""Times that one check is heard: whoever gets that many will mend them all alike, and check again."""


_NOTHING: Final[Mapping[CheckName, tuple[Found, ...]]] = MappingProxyType({})


def run(
    ruleset: Ruleset,
    suspects: frozenset[str] = frozenset(),
    *,
    lost_links: bool = False,
    deep: Mapping[CheckName, tuple[Found, ...]] = _NOTHING,
) -> tuple[Problem, ...]:
    """Give what every check finds and no author allows, in no promised order.

    `suspects` are ids about which a link may have been lost while building, `lost_links` says that
    any may have been: what only concludes from a missing link is then not said, since the fault
    that lost it was. `deep` is what questions about behaviour found (`engine.review`), by the names
    of those that were asked to the end.
    """
    problems: list[Problem] = []
    used: set[tuple[Entry, str]] = set()
    ran: dict[CheckName, Severity] = {}
    for row in CATALOGUE:
        findings: Iterator[Found]
        if row.name in deep:
            findings = iter(deep[row.name])
        elif not row.judged or (lost_links and row.from_absence):
            continue
        else:
            findings = row.judge(ruleset)
        ran[row.name] = row.severity
        for count, found in enumerate(findings):
            if count >= _MOST:
                del ran[row.name]  # not heard out, so nothing can be said of what allows it
                break
            if row.severity is Severity.WARNING and _allows(found, row.name):
                used.add((_entry(found), row.name))
            elif not (row.from_absence and _doubtful(found, suspects)):
                problems.append(found.problem)
    entries = every_entry(ruleset)
    problems += _unknown_checks(entries)
    if not lost_links and not suspects:
        # An error that stops a ruleset from being made can be allowed nowhere: those always ran.
        ran |= {
            row.name: row.severity for row in CATALOGUE if row.stage not in {Stage.RULESET, Stage.BEHAVIOUR}
        }
        problems += [found.problem for found in allow_without_effect.check(entries, ran, frozenset(used))]
    return tuple(problems)


def _doubtful(found: Found, suspects: frozenset[str]) -> bool:
    """Whether a link that was lost may be all that is behind it."""
    if not suspects:
        return False
    return (found.entry is not None and found.entry.id in suspects) or not suspects.isdisjoint(found.rests_on)


def _allows(found: Found, name: CheckName) -> bool:
    allow = found.entry.allow if found.entry is not None else ()
    if any(allowance.check == name for allowance in allow):
        return True
    # A name that is only mistyped is told as that, and not a second time by what it should allow.
    return any(
        allowance.check not in _NAMES and nearest(allowance.check, _NAMES) == name
        for allowance in allow[:_LIKENED]
    )


_LIKENED: Final = 20
"""Allowances of one entry that are looked at for a mistyped name: nobody writes more."""
_NAMES: Final = tuple(row.name for row in CATALOGUE)


def _entry(found: Found) -> Entry:
    if found.entry is None:
        raise ValueError("nothing allows a problem that no entry owns")
    return found.entry


def _unknown_checks(entries: tuple[Entry, ...]) -> list[Problem]:
    """Say which allowances name no check."""
    unknown = (
        (entry, allowance) for entry in entries for allowance in entry.allow if allowance.check not in _NAMES
    )
    return [
        Problem(
            entry.place.key_of("allow", allowance.check),
            UNKNOWN_REFERENCE,
            f"no check is called {allowance.check!r}",
            hint(allowance.check, _NAMES),
            mend=over(entry.place.key_of("allow", allowance.check), only(allowance.check, _NAMES)),
        )
        for entry, allowance in islice(unknown, _MOST)
    ]
