"""How long the engine takes: the next step in interviews, belief by positives, by rounds and by size.

Each function gives the lines of a table. Networks and cases are drawn from stated seeds. Times are
of the processor, summed over threads, which another program on the same machine disturbs less than the
clock; where tables are large they still swing with the memory that is free. For the next step the clock's
are told as well, since that is what a maker waits for.
"""

import time
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from statistics import median, quantiles

from engine.belief import believe
from engine.case import Case
from engine.folding import fold_until_narrow
from engine.interview import DisagreeCard, Interview
from engine.refusal import TooWideError
from kb.load import load_file
from kb.model import Ruleset
from tests.bench.networks import big_studio, clinic, examined, lump, told, workshop
from tests.support.hidden_reed import HiddenReed

BASSOON = Path(__file__).resolve().parents[2] / "rulesets" / "bassoon.yaml"
RUNS = 7
SEEDS = 5
"""Cases behind each time of a belief."""
SITTINGS = 3
"""An interview is followed this far: a reed takes about three sittings (common practice, no source)."""


def bassoon_steps(reeds: int = 50) -> Iterator[str]:
    """Time the next step over simulated interviews of the bassoon ruleset."""
    ruleset = load_file(BASSOON).ruleset
    assert ruleset is not None
    yield from _steps("bassoon", ruleset, reeds)
    yield "  promised: 95th percentile under 300 ms"


def big_steps(reeds: int = 10) -> Iterator[str]:
    """Time the next step over simulated interviews of a ruleset larger than any that ships."""
    yield from _steps("60 causes × 100 findings × 80 remedies", big_studio(1), reeds)


def _steps(what: str, ruleset: Ruleset, reeds: int) -> Iterator[str]:
    """Time each card, with all that it needs, over interviews with reeds drawn from the model."""
    of_clock: list[float] = []
    of_processor: list[float] = []
    weighed: list[float] = []
    odd: dict[str, int] = {}
    for seed in range(reeds):
        for interview in HiddenReed.drawn(ruleset, seed).interviewed():
            if interview.case.sitting > SITTINGS:
                break
            clock, processor = time.perf_counter(), time.process_time()
            card = interview.card
            of_processor.append(1000 * (time.process_time() - processor))
            of_clock.append(1000 * (time.perf_counter() - clock))
            if _was_weighed(interview):
                weighed.append(of_processor[-1])
            if isinstance(card, DisagreeCard):
                odd["answers called impossible"] = odd.get("answers called impossible", 0) + 1
            elif "advice" in vars(interview) and not interview.advice.belief.exact:
                odd["steps not exact"] = odd.get("steps not exact", 0) + 1
    yield f"{what}: {reeds} simulated interviews of up to {SITTINGS} sittings, {len(of_clock)} cards"
    yield f"  next step, clock:      {_spread(of_clock)}"
    yield f"  next step, processor:  {_spread(of_processor)}"
    yield f"  the {len(weighed)} in which steps were weighed, processor:  {_spread(weighed)}"
    yield from (f"  {count} {what}" for what, count in odd.items())


def _was_weighed(interview: Interview) -> bool:
    """Whether steps were weighed for this card, and not only a look that comes first given."""
    if "advice" not in vars(interview):
        return False
    return any(one.cost for one in interview.advice.ranked)


def _spread(times: list[float]) -> str:
    centiles = quantiles(times, n=20)
    return (
        f"median {median(times):.1f} ms, 95th percentile {centiles[18]:.1f} ms, longest {max(times):.1f} ms"
    )


def took(action: Callable[[], object]) -> float:
    """Give the median processor time of an action in milliseconds."""
    times = []
    for _ in range(RUNS):
        began = time.process_time()
        action()
        times.append(1000 * (time.process_time() - began))
    return median(times)


def _belief_line(ruleset: Ruleset, cases: list[Case], begin: str) -> str:
    """Time all posteriors of some cases: the median and the longest of them, and the widest table."""
    times, widths, folded = [], [], 0
    for case in cases:
        try:
            belief = believe(ruleset, case)
        except TooWideError as wide:
            return f"{begin}  refused: {wide}"
        widths.append(fold_until_narrow(ruleset, case).plan.width)
        folded = max(folded, belief.folded)
        times.append(took(partial(believe, ruleset, case)))
    kept = "exact" if not folded else f"up to {folded} rounds folded"
    return f"{begin}{median(times):>10.1f} ms{max(times):>10.1f} ms{max(widths):>10}  {kept}"


HEAD = f"{'median':>13}{'longest':>13}{'sets':>10}"


def belief_by_positives() -> Iterator[str]:
    """Time all posteriors of one round at 40 causes and 80 findings, by the number of yes."""
    ruleset = workshop(1)
    yield f"belief, 40 causes × 80 findings, one round, 20 no, {SEEDS} cases each"
    yield f"  {'yes':>9}{HEAD}"
    for positives in (4, 8, 12, 16):
        cases = [told(ruleset, seed, 1, positives) for seed in range(SEEDS)]
        yield _belief_line(ruleset, cases, f"  {positives:>9}")


def belief_by_rounds() -> Iterator[str]:
    """Time all posteriors by the number of rounds, three yes in each: of the same findings, and of others."""
    ruleset = workshop(1)
    for fresh, which in ((False, "the same 3 yes in each round"), (True, "3 other yes in each round")):
        yield f"belief over rounds, 40 causes × 80 findings, {which}, {SEEDS} cases each"
        yield f"  {'rounds':>6}{'bits':>5}{HEAD}"
        for rounds in (1, 3, 6):
            cases = [told(ruleset, seed, rounds, 3 * rounds, fresh=fresh) for seed in range(SEEDS)]
            yield _belief_line(ruleset, cases, f"  {rounds:>6}{3 * rounds:>5}")


def belief_by_size() -> Iterator[str]:
    """Time all posteriors of one round with 8 yes, by the size of the ruleset."""
    yield f"belief by size, one round, 8 yes, 20 no, {SEEDS} cases each"
    yield f"  {'causes × findings':>18}{HEAD}"
    for causes, findings in ((10, 30), (20, 40), (40, 80), (80, 160), (160, 320)):
        ruleset = workshop(1, causes, findings)
        cases = [told(ruleset, seed, 1, 8) for seed in range(SEEDS)]
        yield _belief_line(ruleset, cases, f"  {f'{causes} × {findings}':>18}")


def belief_in_a_clinic() -> Iterator[str]:
    """Time all posteriors on a network of the shape of QMR-DT."""
    ruleset = clinic(1)
    links = [len(one.shows) for one in ruleset.causes]
    yield (
        f"belief, 570 causes × 4,000 findings, {sum(links):,} links ({min(links)} to {max(links)} a cause), "
        f"20 no, {SEEDS} cases each"
    )
    yield f"  {'yes':>9}{HEAD}"
    for positives in (4, 8, 12):
        cases = [examined(ruleset, seed, positives) for seed in range(SEEDS)]
        yield _belief_line(ruleset, cases, f"  {positives:>9}")


def belief_of_one_lump() -> Iterator[str]:
    """Time the worst there is: every cause shows every finding that was answered yes."""
    yield "belief where everything hangs together: 14 causes that all show all the findings answered yes"
    yield f"  {'yes':>9}{HEAD}"
    for positives in (10, 14, 16):
        ruleset = lump(1, 14, positives)
        yield _belief_line(ruleset, [told(ruleset, 1, 1, positives, 0)], f"  {positives:>9}")


def tables() -> Iterator[str]:
    """Give the lines of all tables."""
    for table in TABLES:
        yield from table()
        yield ""


TABLES: tuple[Callable[[], Iterator[str]], ...] = (
    bassoon_steps,
    big_steps,
    belief_by_positives,
    belief_by_rounds,
    belief_by_size,
    belief_in_a_clinic,
    belief_of_one_lump,
)


if __name__ == "__main__":
    for line in tables():
        print(line, flush=True)
