"""Finds parts of the network into which no symptom leads."""

from collections.abc import Iterator
from typing import Final

from kb.checks.found import Found
from kb.model import Cause, Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("island")
SEVERITY: Final = Severity.WARNING


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point at the first cause of each part of several causes that has no symptom in it."""
    for island in islands(ruleset):
        first = min(island, key=lambda cause: cause.place.key)
        others = len(island) - 1
        more = f"{others} other causes" if others > 1 else "one other cause"
        message = f"no symptom leads to {first.id!r} and {more} that hang together"
        hint = "let one of them make a symptom show, or give one of their signs a priority"
        yield Found(first, Problem(first.place.key, NAME, message, hint, SEVERITY))


def islands(ruleset: Ruleset) -> tuple[tuple[Cause, ...], ...]:
    """Give the causes of each connected part that holds several of them and no ranked finding."""
    above: dict[str, str] = {}

    def top(name: str) -> str:
        while (higher := above.get(name, name)) != name:
            above[name] = name = above.get(higher, higher)
        return name

    for cause in ruleset.causes:
        for show in cause.shows:
            above[top(show.finding)] = top(cause.id)
    for operation in ruleset.operations:
        joined = [effect.cause for effect in (*operation.cures, *operation.provokes) if effect.chance > 0]
        for other in joined[1:]:
            above[top(other)] = top(joined[0])
    reached = {top(finding.id) for finding in ruleset.findings if finding.priority is not None}
    parts: dict[str, list[Cause]] = {}
    for cause in ruleset.causes:
        if cause.shows and (root := top(cause.id)) not in reached:
            parts.setdefault(root, []).append(cause)
    return tuple(tuple(part) for part in parts.values() if len(part) > 1)
