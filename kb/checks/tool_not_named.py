"""Finds remedies whose text speaks of a tool that can hurt, and that name none."""

from collections.abc import Iterator
from typing import Final

from kb.checks.asked import english_words
from kb.checks.found import Found
from kb.model import Hazard, Ruleset, Tool
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("tool-not-named")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at each `do` that holds the name of a dangerous tool, without `tool` and without `caution`."""
    by_word: dict[str, list[tuple[frozenset[str], Tool]]] = {}
    for tool in ruleset.tools:
        if tool.hazard is not Hazard.NONE:
            words = tool.id.split("-")
            by_word.setdefault(words[0], []).append((frozenset(words), tool))
    for remedy in ruleset.operations:
        if (
            not by_word
            or remedy.tool is not None
            or remedy.caution
            or remedy.place.value.get("tool") is not None
        ):
            continue
        said = frozenset(english_words(f"{remedy.title} {remedy.do}"))
        found = [tool for word in sorted(said) for words, tool in by_word.get(word, ()) if words <= said]
        if found:
            message = f"{remedy.id!r} speaks of {found[0].title!r}, and names no tool and no caution"
            hint = f"write tool: {found[0].id}, and a caution"
            yield Found(remedy, Problem(remedy.place.of("do"), NAME, message, hint, SEVERITY))
