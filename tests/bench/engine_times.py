"""How long the engine takes: the next step in the bassoon ruleset, belief by positives and by rounds.

Each function returns the lines of a table. Networks and cases are drawn from stated seeds.
"""

import random
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from statistics import median, quantiles

from engine.belief import believe
from engine.case import Case
from engine.interview import DisagreeCard
from engine.refusal import TooWideError
from kb.ids import CauseId, FindingId, PriorityId, RemedyId, RulesetId
from kb.load import load_file
from kb.model import Answer, Cause, Effect, Finding, Priority, Remedy, Ruleset, Show
from tests.support.hidden_reed import HiddenReed

BASSOON = Path(__file__).resolve().parents[2] / "rulesets" / "bassoon.yaml"
RUNS = 7
SITTINGS = 3
"""An interview is followed this far: a reed takes about three sittings (common practice, no source)."""


def bassoon_steps(reeds: int = 50) -> list[str]:
    """Time the next step (card, and all that it needs) over simulated interviews of the bassoon ruleset."""
    ruleset = load_file(BASSOON).ruleset
    assert ruleset is not None
    took: list[float] = []
    lengths: list[int] = []
    odd: dict[str, int] = {}
    for seed in range(reeds):
        length = 0
        for interview in HiddenReed.drawn(ruleset, seed).interviewed():
            if interview.case.sitting > SITTINGS:
                break
            began = time.perf_counter()
            card = interview.card
            took.append(1000 * (time.perf_counter() - began))
            length += 1
            if isinstance(card, DisagreeCard):
                odd["answers called impossible"] = odd.get("answers called impossible", 0) + 1
            elif "advice" in vars(interview) and not interview.advice.belief.exact:
                odd["steps not exact"] = odd.get("steps not exact", 0) + 1
        lengths.append(length)
    # The first one loads the libraries of numbers; it is told apart.
    centiles = quantiles(took[1:], n=100)
    size = f"{len(took)} cards, {min(lengths)} to {max(lengths)} an interview"
    times = f"median {median(took):.1f} ms, 95th percentile {centiles[94]:.1f} ms, longest {max(took):.1f} ms"
    return [
        f"bassoon: {reeds} simulated interviews of up to {SITTINGS} sittings, {size}",
        f"  next step: {times} (promised: 95th percentile under 300 ms)",
        *(f"  {count} {what}" for what, count in odd.items()),
    ]


def workshop(seed: int, causes: int = 40, findings: int = 80) -> Ruleset:
    """Make a ruleset of a studio's size: a cause shows six to fourteen findings."""
    source = random.Random(seed)
    ids = [FindingId(f"finding-{n:02}") for n in range(findings)]
    return Ruleset(
        RulesetId("workshop"),
        "Workshop",
        "1.0.0",
        priorities=(Priority(PriorityId("response"), "Response"),),
        findings=tuple(Finding(id_, id_, f"{id_}?", is_sign=True, leak=0.02) for id_ in ids),
        causes=tuple(
            Cause(
                CauseId(f"cause-{n:02}"),
                f"Cause {n}",
                source.uniform(0.01, 0.2),
                tuple(
                    Show(id_, source.choice((0.1, 0.3, 0.6, 0.8, 0.97)))
                    for id_ in source.sample(ids, source.randint(6, 14))
                ),
            )
            for n in range(causes)
        ),
        operations=tuple(
            Remedy(
                RemedyId(f"remedy-{n:02}"),
                f"Remedy {n}",
                "Do it.",
                cures=tuple(
                    Effect(CauseId(f"cause-{c:02}"), source.choice((0.3, 0.6, 0.8)))
                    for c in source.sample(range(causes), 2)
                ),
            )
            for n in range(causes)
        ),
    )


def told(ruleset: Ruleset, seed: int, rounds: int, positives: int, negatives: int = 20) -> Case:
    """Make a case with so many yes and no in all, spread over rounds, answered by a reed that is so.

    The yes are repeated over the rounds, as they are at the desk: the same few symptoms are looked at
    again after each remedy, which did not clear them.
    """
    source = random.Random(seed)
    names = [finding.id for finding in ruleset.findings]
    source.shuffle(names)
    case, each = Case(), max(1, positives // rounds)
    for number in range(rounds):
        here = each if number else positives - each * (rounds - 1)
        for name in names[:here]:
            case = case.with_answer(name, Answer.YES)
        share = negatives // rounds
        for name in names[positives + number * share : positives + (number + 1) * share]:
            case = case.with_answer(name, Answer.NO)
        if number + 1 < rounds:
            case = case.with_gap(source.choice(ruleset.operations).id, new_sitting=False)
    return case


def took(action: Callable[[], object]) -> float:
    """Give the median time of an action in milliseconds."""
    times = []
    for _ in range(RUNS):
        began = time.perf_counter()
        action()
        times.append(1000 * (time.perf_counter() - began))
    return median(times)


def _belief_line(ruleset: Ruleset, seed: int, rounds: int, positives: int) -> str:
    case = told(ruleset, seed, rounds, positives)
    try:
        belief = believe(ruleset, case)
    except TooWideError as wide:
        return f"  {rounds:>6}  {positives:>9}  refused: {wide}"
    kept = "exact" if belief.exact else f"{belief.folded} rounds folded"
    return f"  {rounds:>6}  {positives:>9}  {took(lambda: believe(ruleset, case)):>8.1f} ms  {kept}"


def belief_by_positives() -> list[str]:
    """Time all posteriors of one round at 40 causes and 80 findings, by the number of yes."""
    ruleset = workshop(1)
    lines = ["belief, 40 causes × 80 findings, 20 no: rounds, yes, time"]
    return lines + [_belief_line(ruleset, 7, 1, positives) for positives in (0, 2, 4, 6, 8, 10, 12, 14, 16)]


def belief_by_rounds() -> list[str]:
    """Time all posteriors by the number of rounds."""
    ruleset = workshop(1)
    lines = ["belief over rounds, 40 causes × 80 findings, 20 no in all: rounds, yes in all, time"]
    return lines + [
        _belief_line(ruleset, 7, rounds, positives)
        for rounds, positives in ((1, 4), (2, 6), (3, 9), (4, 8), (4, 12), (5, 10), (6, 12), (6, 18))
    ]


def belief_by_size() -> list[str]:
    """Time all posteriors of one round with 8 yes, by the size of the ruleset."""
    lines = ["belief by size, one round, 8 yes, 20 no: causes × findings, time"]
    for causes, findings in ((10, 30), (20, 40), (40, 80), (80, 160), (160, 320)):
        ruleset = workshop(1, causes, findings)
        case = told(ruleset, 7, 1, 8)
        spent = took(lambda ruleset=ruleset, case=case: believe(ruleset, case))  # type: ignore[misc]
        lines.append(f"  {causes:>4} × {findings:<4} {spent:>8.1f} ms")
    return lines


def tables() -> Iterator[str]:
    """Give the lines of all tables."""
    for table in (bassoon_steps, belief_by_positives, belief_by_rounds, belief_by_size):
        yield from table()
        yield ""


if __name__ == "__main__":
    for line in tables():
        print(line, flush=True)
