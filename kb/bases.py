"""Which ruleset another one extends, and who finds it.

Apart from `kb.extends`, which lays them over one another, so that a shelf of rulesets is looked through
without loading the reader of their text.
"""

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Wanted:
    """Which ruleset is extended: a file in the same folder, or an id and a version."""

    file: str = ""
    id: str = ""
    version: str = ""

    def __str__(self) -> str:
        """Say it as a message does."""
        return self.file or f"{self.id} {self.version}"


@dataclass(frozen=True, slots=True)
class Offered:
    """A base that was found, and who finds the base of that."""

    name: str
    content: bytes
    base: "Resolver"


Resolver = Callable[[Wanted], Offered | None]
"""Finds a base. None: there is none; a `DiskError` says why the bytes could not be had."""


def nowhere(_wanted: Wanted) -> Offered | None:
    """Find nothing: for a text that stands alone."""
    return None
