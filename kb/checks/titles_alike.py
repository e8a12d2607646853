"""Finds entries of one kind that can hardly be told apart by what they are called."""

import re
from collections.abc import Iterator
from typing import Final

from kb.checks.found import Entry, Found
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("titles-alike")
SEVERITY: Final = Severity.WARNING


_WORD: Final = re.compile(r"[^\W_]+")
_SMALL: Final = frozenset({"the", "a", "an"})


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each entry called, but for case, marks, articles and plurals, like an earlier one."""
    kinds: tuple[tuple[Entry, ...], ...] = (
        ruleset.priorities,
        ruleset.findings,
        ruleset.causes,
        ruleset.operations,
        ruleset.charts,
        ruleset.tools,
        ruleset.zones,
        ruleset.quantities,
    )
    for entries in kinds:
        first: dict[tuple[str, ...], Entry] = {}
        for entry in entries:
            earlier = first.setdefault(_essence(entry.title), entry)
            if earlier is not entry and entry.title:
                message = f"{entry.id!r} is called as good as the same as {earlier.id!r}"
                hint = "say in the title what sets it apart: in a list nobody can tell which is which"
                at = "title" if entry.place.value.get("title") is not None else "ask"
                yield Found(entry, Problem(entry.place.of(at), NAME, message, hint, SEVERITY))


def _essence(title: str) -> tuple[str, ...]:
    words = [word for word in _WORD.findall(title.casefold()) if word not in _SMALL]
    return tuple(word.removesuffix("s") if len(word) > 3 else word for word in words) or (title,)
