"""Finds words of chance that the ruleset defines and never uses."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import WORDS, Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("word-never-used")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each new word that no entry is written with. The usual words may stand unused."""
    new = [word for word, _ in ruleset.words if word not in WORDS]
    if not new:
        return
    used = {show.word for cause in ruleset.causes for show in cause.shows}
    used |= {cause.word for cause in ruleset.causes}
    used |= {effect.word for one in ruleset.operations for effect in (*one.cures, *one.provokes)}
    used |= {str(leak.data) for one in ruleset.findings if (leak := one.place.value.get("leak")) is not None}
    for word in new:
        if word not in used:
            message = f"the word {word!r} is used nowhere"
            span = ruleset.place.key_of("words", word)
            yield Found(None, Problem(span, NAME, message, "use it, or take it out", SEVERITY))
