"""Finds words of chance whose numbers stand in another order than their meanings."""

from collections.abc import Iterator
from itertools import pairwise
from typing import Final

from kb.checks.found import Found
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("words-out-of-order")
SEVERITY: Final = Severity.WARNING


_FALLING: Final = (("always", "usually", "often", "sometimes", "rarely"), ("common", "occasional", "rare"))


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each usual word that does not mean more than the next weaker one."""
    written = ruleset.place.value.get("words")
    if written is None:
        return
    words = dict(ruleset.words)
    for names in _FALLING:
        for more, less in pairwise(names):
            if words[more] > words[less] or words[more] < 0 or words[less] > 1:
                continue
            at = less if written.get(less) is not None else more
            message = f"{more!r} is {words[more]:g} and {less!r} is {words[less]:g}: they say the reverse"
            hint = f"let {more} be the greater"
            yield Found(None, Problem(ruleset.place.of("words", at), NAME, message, hint, SEVERITY))
