"""Finds texts that were left to be written."""

import re
from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found, every_entry
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("placeholder-text")
SEVERITY: Final = Severity.WARNING


_MARKS: Final = ("TODO", "FIXME", "TBD", "XXX", "???", "lorem ipsum")
_LEFT: Final = r"(?a:\b(?:TODO|FIXME|TBD|XXX+)\b|\?\?\?|\blorem ipsum\b)"
_TEXTS: Final = ("title", "ask", "do", "caution", "why", "help", "too_far", "goal")


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each text of an entry that holds a mark such as TODO."""
    for entry in every_entry(ruleset):
        for key in _TEXTS:
            value = entry.place.value.get(key)
            if value is None or not isinstance(value.data, str):
                continue
            if not any(mark in value.data for mark in _MARKS):
                continue
            left = re.search(_LEFT, value.data)
            if left is not None:
                message = f"{key} of {entry.id!r} was left to be written: {left[0]}"
                hint = "write it; it is shown at the desk as it stands"
                yield Found(entry, Problem(value.span, NAME, message, hint, SEVERITY))
