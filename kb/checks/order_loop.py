"""Finds operations that wait for one another, so that none of them is ever proposed."""

from collections.abc import Iterator, Sequence
from itertools import islice
from typing import Final

from kb.checks.found import Found
from kb.ids import RemedyId
from kb.model import Ruleset
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("order-loop")
SEVERITY: Final = Severity.ERROR

_NAMED: Final = 20
"""Loops named in one run; a tangle can hold more of them than there are atoms."""


def check(ruleset: Ruleset) -> Iterator[Found]:
    """Point, for each loop, at the `after` that closes it, from its first operation in the file."""
    waits = {operation.id: operation.after for operation in ruleset.operations if operation.after}
    if not waits or not _has_loop(waits):
        return
    for loop in _loops(waits):
        begin = min(range(len(loop)), key=lambda at: ruleset.operation[loop[at]].place.key)
        ordered = (*loop[begin:], *loop[:begin])
        first, next_one = ruleset.operation[ordered[0]], (*ordered, ordered[0])[1]
        at = [item.data for item in first.place.value["after"].items()].index(next_one)
        chain = ", which waits for ".join(repr(one) for one in (*ordered[1:], ordered[0]))
        message = f"{first.id!r} waits for {chain}"
        hint = "take one of them out of an after"
        yield Found(first, Problem(first.place.of("after", at), NAME, message, hint, SEVERITY))


def _has_loop(waits: dict[RemedyId, tuple[RemedyId, ...]]) -> bool:
    from graphlib import CycleError, TopologicalSorter  # noqa: PLC0415  (few rulesets use `after` at all)

    try:
        TopologicalSorter(waits).prepare()
    except CycleError:
        return True
    return False


def _loops(waits: dict[RemedyId, tuple[RemedyId, ...]]) -> Sequence[tuple[RemedyId, ...]]:
    """Name the loops. networkx takes a quarter of a second to load: only now is it worth it."""
    import networkx as nx  # noqa: PLC0415  (loaded only once there is a loop)

    graph = nx.DiGraph((here, there) for here, ways in waits.items() for there in ways)
    return [tuple(loop) for loop in islice(nx.simple_cycles(graph), _NAMED)]
