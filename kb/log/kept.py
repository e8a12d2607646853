"""A ruleset's text as the log keeps it, and what came of taking another log's lines in."""

from dataclasses import dataclass

from kb.log.entry import RulesetMark


@dataclass(frozen=True, slots=True)
class KeptRuleset:
    """A ruleset that was used, with all that it extends."""

    mark: RulesetMark
    texts: tuple[tuple[str, str], ...]
    """Names and texts, its own first."""


@dataclass(frozen=True, slots=True)
class Absorbed:
    """What came of taking lines in."""

    new: int
    known: int
    """Entries that were there already."""
