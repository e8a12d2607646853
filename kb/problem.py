"""A problem: one thing an author should know about one place in a ruleset.

What the author got wrong is a value, and this is it; what we got wrong is an exception.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import NewType

from kb.patch import Replacement
from kb.text import Span

CheckName = NewType("CheckName", str)
"""A check, named in plain words for the fault that it finds: `cause-without-remedy`."""


class Severity(StrEnum):
    """How bad a problem is."""

    ERROR = "error"
    """The ruleset cannot be used, or not safely."""
    WARNING = "warning"
    """It works, and something should be looked at."""


@dataclass(frozen=True, slots=True)
class Problem:
    """What one check has to say about one place. Born complete, never filled in later."""

    span: Span
    check: CheckName
    message: str
    """What is there, not which rule was broken."""
    hint: str = ""
    """What to do about it, when we know."""
    severity: Severity = Severity.ERROR
    mend: tuple[Replacement, ...] = ()
    """The change to the text that would mend it, where one can be written without asking anybody."""


def in_order(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """Sort by place, then by name, each problem once. Sorted here, at the end, and only here."""
    return tuple(
        sorted(set(problems), key=lambda p: (p.span, p.severity, p.check, p.message, p.hint, p.mend))
    )


def has_errors(problems: Iterable[Problem]) -> bool:
    """Whether any of them is an error."""
    return any(problem.severity is Severity.ERROR for problem in problems)
