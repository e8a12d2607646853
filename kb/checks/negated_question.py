"""Finds questions that ask whether something is not so."""

from collections.abc import Iterator
from itertools import takewhile
from typing import Final

from kb.checks.asked import english_words, in_english
from kb.checks.found import Found
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("negated-question")
SEVERITY: Final = Severity.WARNING


_HINTS: Final = ("not", "n't", "n\u2019t", "never", "no ")
_CLAUSES: Final = frozenset(
    ("that", "which", "who", "when", "while", "if", "although", "because", "until", "unless", "where", "than")
)
"""From here on it is no longer the question itself: a note so flat that it cannot be lifted."""
_VERBS: Final = frozenset(("is", "are", "has", "have", "does", "do"))


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each English question with a not in it."""
    for finding in in_english(ruleset):
        ask = finding.ask.casefold()
        if any(hint in ask for hint in _HINTS) and _is_negated(english_words(ask)):
            message = f"the question of {finding.id!r} is negated, so a yes can be taken for a no"
            hint = "ask for what is there to be heard, seen or felt"
            yield Found(finding, Problem(finding.place.of("ask"), NAME, message, hint, SEVERITY))


def _is_negated(words: list[str]) -> bool:
    """Whether the question itself has a not in it; "or not" at its end and "not only" are none."""
    asked = list(takewhile(lambda word: word not in _CLAUSES, words))
    if asked[:1] and asked[0] in _VERBS and "no" in asked[1 : 3 if asked[1:2] == ["there"] else 2]:
        return True
    around = zip(("", *asked), asked, (*asked[1:], ""), strict=False)
    return any(
        word in {"cannot", "never"}
        or word.endswith(("n't", "n\u2019t"))
        or (word == "not" and before != "or" and after != "only")
        for before, word, after in around
    )
