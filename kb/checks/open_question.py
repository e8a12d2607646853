"""Finds questions that cannot be answered yes or no."""

from collections.abc import Iterator
from typing import Final

from kb.checks.asked import in_english
from kb.checks.found import Found
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("open-question")
SEVERITY: Final = Severity.WARNING


_OPEN: Final = frozenset(
    (
        "how",
        "which",
        "what",
        "what's",
        "who",
        "whose",
        "whom",
        "why",
        "rate",
        "describe",
        "choose",
        "list",
        "name",
    )
)
_OPEN_BEFORE: Final = frozenset(("when", "where"))
"""Open only before a verb: "When is it flat?", and not "When blown softly, is it flat?"."""
_VERBS: Final = frozenset(("is", "are", "does", "do", "did", "has", "have", "can", "will", "should"))


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each English question that begins with how, which, what, who or why."""
    for finding in in_english(ruleset):
        words = [word.strip("\"'(,.:;\u201c\u2018") for word in finding.ask.casefold().split(maxsplit=2)[:2]]
        if words and (words[0] in _OPEN or (words[0] in _OPEN_BEFORE and words[-1] in _VERBS)):
            message = f"the question of {finding.id!r} cannot be answered yes or no"
            hint = "ask whether it is so; yes, slightly, no and unsure are the answers"
            yield Found(finding, Problem(finding.place.of("ask"), NAME, message, hint, SEVERITY))
