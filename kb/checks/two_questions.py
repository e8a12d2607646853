"""Finds questions that ask two things, so that one answer cannot be right."""

import re
from collections.abc import Iterator
from typing import Final

from kb.checks.asked import in_english
from kb.checks.found import Found
from kb.model import Finding, Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("two-questions")
SEVERITY: Final = Severity.WARNING


_TWO: Final = (
    r"\?.*\w.*\?"  # two question marks
    r"|\b(?:and|or)\s+(?:is|are|does|do|did|has|have|can|was|were)\s+(?:it|they|there|the|a|an|one|you|your)\b"
    r"|\band/or\b"
    r"|\btoo\s+\w+\s+or\s+too\s+\w+"
    r"|\b(?:sharp or flat|flat or sharp|high or low|low or high|early or late|late or early"
    r"|thick or thin|thin or thick|wide or narrow|narrow or wide|loud or soft|soft or loud"
    r"|bright or dark|dark or bright)\s*\?"
)


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each English question of two questions, or between two opposites."""
    for finding in in_english(ruleset):
        ask = finding.ask.casefold()
        # Compiling the pattern costs more than a short ruleset's whole check: most questions need none.
        if " or " not in ask and " and " not in ask and "/" not in ask and ask.count("?") < 2:
            continue
        if re.search(_TWO, ask, re.DOTALL):
            yield _two(finding)


def _two(finding: Finding) -> Found:
    message = f"the question of {finding.id!r} asks two things"
    hint = "make two findings of it: each is shown by other causes"
    return Found(finding, Problem(finding.place.of("ask"), NAME, message, hint, SEVERITY))
