"""Finds charts that can do harm: a cut that cannot be undone, before a cheaper look that forbids it.

The chart is walked on the virtual reeds. What counts is what the reed truly shows when the chart
cuts, and that the chart has not asked in this sitting.
"""

from collections.abc import Iterator
from typing import Final

from engine.cost import plain_cost
from engine.findings import was_asked_in
from engine.playing import End, Living, Operate, Position, next_move
from engine.policies import Charted
from engine.review.sample import REEDS, Sample
from engine.virtual import VirtualReed
from engine.wording import minutes
from kb.checks.found import Found
from kb.ids import FindingId
from kb.model import Chart, DoStep, Remedy, Ruleset, Undo
from kb.problem import CheckName, Problem, Severity

NAME: Final = CheckName("hasty-chart")

_Haste = tuple[DoStep, FindingId]


def judge(sample: Sample) -> Iterator[Found]:
    """Point at each step that cuts where an unasked question would have forbidden it."""
    ruleset = sample.ruleset
    for chart in ruleset.charts:
        if not any(_can_harm(ruleset, step) for step in chart.steps):
            continue
        counts: dict[_Haste, int] = {}
        for number, reed in enumerate(sample.reeds):
            sample.told(f"{NAME}: {chart.id}, reed {number + 1} of {len(sample.reeds)}")
            for haste in _hastes(sample, chart, reed, number):
                counts[haste] = counts.get(haste, 0) + 1
        for (step, look), count in counts.items():
            message = (
                f"on {count} of {len(sample.reeds)} virtual reeds this does {step.remedy!r}, which cannot be "
                f"undone, while {look!r} showed, which forbids it; the chart had not asked"
            )
            hint = f"ask {look!r} first: it takes {minutes(ruleset.finding[look].minutes)}"
            span = chart.place.of("steps", step.id, "do")
            yield Found(chart, Problem(span, NAME, message, hint, Severity.WARNING))


def _can_harm(ruleset: Ruleset, step: object) -> bool:
    return isinstance(step, DoStep) and bool(_looks_before(ruleset, ruleset.operation[step.remedy]))


def _looks_before(ruleset: Ruleset, operation: Remedy) -> tuple[FindingId, ...]:
    """Give the looks that may forbid an operation that cannot be undone, and are cheaper than it."""
    if operation.undo is not Undo.NEVER or operation.is_rest:
        return ()
    price = plain_cost(ruleset, operation)
    return tuple(finding for finding in operation.unless if ruleset.finding[finding].minutes < price)


def _hastes(sample: Sample, chart: Chart, reed: VirtualReed, number: int) -> set[_Haste]:
    """Walk the chart on one reed."""
    ruleset, policy = sample.ruleset, Charted(sample.ruleset, chart)
    source = sample.source_of(4 * REEDS + number)
    living, found = Living(ruleset, reed), set[_Haste]()
    while living.may_go_on:
        move = next_move(policy, living.position)
        if isinstance(move, End):
            break
        step = policy.step(living.position)
        if isinstance(move, Operate) and isinstance(step, DoStep):
            found |= {
                (step, look)
                for look in _looks_before(ruleset, ruleset.operation[step.remedy])
                if living.reed.shows(look) and not _was_asked(ruleset, living.position, look)
            }
        living = living.after(move, source)
    return found


def _was_asked(ruleset: Ruleset, position: Position, finding: FindingId) -> bool:
    return any(was_asked_in(ruleset, one, finding) for one in position.case.in_sitting())
