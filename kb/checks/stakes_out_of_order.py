"""Finds stakes that make a cut cheaper than what can be undone."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("stakes-out-of-order")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at the stakes where what can be undone less has to earn less."""
    stakes = ruleset.stakes
    for worse, more, better, less in (
        ("never", stakes.never, "partly", stakes.partly),
        ("partly", stakes.partly, "fully", stakes.fully),
    ):
        if more < less:
            written = ruleset.place.value.get("stakes")
            at = better if written is not None and written.get(better) is not None else worse
            message = (
                f"what is undone {worse} must earn {more:g} minutes, and what is undone {better} {less:g}"
            )
            hint = "the less can be undone, the more it must earn"
            yield Found(None, Problem(ruleset.place.of("stakes", at), NAME, message, hint, SEVERITY))
