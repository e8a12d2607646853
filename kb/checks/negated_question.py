"""Finds questions that ask whether something is not so."""

import re
from collections.abc import Iterator
from typing import Final

from kb.checks.asked import in_english
from kb.checks.found import Found
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("negated-question")
SEVERITY: Final = Severity.WARNING


_NOT: Final = re.compile(
    r"n['\u2019]t\b|\bcannot\b|\bnever\b|\bnot\b(?!\s+only\b)|^\s*(?:is|are|has|have|does|do)\s+(?:there\s+)?no\b",
    re.IGNORECASE,
)
_CLAUSE: Final = re.compile(
    r"\b(?:that|which|who|when|while|if|although|because|until|unless|where|than)\b.*",
    re.IGNORECASE | re.DOTALL,
)
"""From here on it is no longer the question itself: a note so flat that it cannot be lifted."""
_OR_NOT: Final = re.compile(r"\bor not\b", re.IGNORECASE)


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each English question with a not in it."""
    for finding in in_english(ruleset):
        if _NOT.search(_CLAUSE.sub("", _OR_NOT.sub("", finding.ask))):
            message = f"the question of {finding.id!r} is negated, so a yes can be taken for a no"
            hint = "ask for what is there to be heard, seen or felt"
            yield Found(finding, Problem(finding.place.of("ask"), NAME, message, hint, SEVERITY))
