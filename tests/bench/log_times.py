"""How long a log of ten years takes: a thousand reeds, half a million entries.

The log is made as lines and taken in by the ordinary import, which is measured as well, with the memory
that it needs beyond what the program takes anyway.
"""

import random
import resource
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from typing import Final

from kb.ids import QuantityId
from kb.log.codec import to_line
from kb.log.entry import (
    Answered,
    Blank,
    Entry,
    EntryId,
    Graded,
    Measured,
    Played,
    ReedId,
    ReedMade,
    Remarked,
    RemedyDone,
    Rested,
    RulesetMark,
    SittingOpened,
    TakenBack,
    What,
)
from kb.log.exchange import FORMAT, absorb_lines, to_lines
from kb.log.store import ReedLog
from kb.model import Answer, Ruleset
from tests.bench.first_paint import surroundings

ROOT = Path(__file__).resolve().parents[2]
REEDS: Final = 1000
ENTRIES: Final = 500
"""For each reed."""


def long_log(ruleset: Ruleset, reeds: int = REEDS, each: int = ENTRIES) -> Iterator[str]:
    """Give the lines of a long log, the same every time."""
    chance = random.Random(7)
    mark = RulesetMark(ruleset.id, ruleset.version, ruleset.digest)
    yield f'{{"canebrake-log":{FORMAT}}}'
    for number in range(reeds):
        reed = ReedId(f"{chance.getrandbits(128):032x}")
        begun, before = number * 3600, EntryId("")
        for place, what in enumerate(_life(ruleset, chance, number, each)):
            minute = begun + place * 60
            at = f"{2016 + minute // 525600:04}-{1 + minute // 43800 % 12:02}-{1 + minute // 1440 % 28:02}"
            entry = Entry(
                EntryId(f"{chance.getrandbits(128):032x}"),
                reed,
                f"{at}T{minute // 60 % 24:02}:{minute % 60:02}:00+01:00",
                mark,
                TakenBack(before) if isinstance(what, TakenBack) else what,
            )
            before = entry.id
            yield to_line(entry)


def _life(ruleset: Ruleset, chance: random.Random, number: int, each: int) -> Iterator[What]:
    yield ReedMade(f"Reed {number}")
    yield Blank(cane=f"tube {number % 40}", made_on="2016-01-01")
    sitting, told = 0, 2
    while told < each:
        if told % 40 == 2:
            sitting += 1
            yield SittingOpened(sitting, 20.0, 50.0)
        elif told % 40 == 1:
            yield Rested(ruleset.rests[0].id, new_sitting=True, hours=12.0)
        else:
            yield _told(ruleset, chance)
        told += 1


def _told(ruleset: Ruleset, chance: random.Random) -> What:
    draw = chance.random()
    if draw < 0.80:
        return Answered(chance.choice(ruleset.findings).id, chance.choice(list(Answer)))
    if draw < 0.88:
        return Measured(QuantityId("tip-opening"), round(chance.uniform(0.9, 1.6), 2))
    if draw < 0.94:
        return RemedyDone(chance.choice(ruleset.remedies).id)
    if draw < 0.96:
        return TakenBack(EntryId("before"))
    if draw < 0.98:
        return Played(0.5)
    return Graded("practice") if draw < 0.99 else Remarked("plays well on the upper notes, dull below")


def log_times() -> Iterator[str]:
    """Make the log and measure, line by line."""
    from tui.choosing import by_words  # noqa: PLC0415 - loads the reader of rulesets
    from tui.desk import ChosenRuleset  # noqa: PLC0415 - the same

    chosen = by_words("bassoon")
    assert isinstance(chosen, ChosenRuleset)
    with TemporaryDirectory() as folder:
        path = Path(folder) / "reeds.db"
        before = _memory()
        with ReedLog.open(path) as log:
            took = _took(lambda: absorb_lines(log, long_log(chosen.ruleset)))
            yield f"import of {log.count():,} entries: {took:.1f} s, {_memory() - before:.0f} MB more memory"
        yield f"the file: {path.stat().st_size / 1e6:.0f} MB"
        yield f"`canebrake reeds --is due`, whole process: {_command(folder, 'reeds', '--is', 'due'):.0f} ms"
        yield f"`canebrake --version`, whole process: {_command(folder, '--version'):.0f} ms"
        yield f"open and the box: {1000 * median(_took(lambda: _box(path)) for _ in range(5)):.0f} ms"
        yield f"open and resume one reed: {_resumed(path, chosen):.0f} ms"
        yield from _whole_file(path, Path(folder))


def _whole_file(path: Path, folder: Path) -> Iterator[str]:
    with ReedLog.open(path) as log:
        yield f"backup: {_took(lambda: log.backup(folder / 'copy.db')):.1f} s"
        yield f"export: {_took(lambda: sum(1 for _ in to_lines(log))):.1f} s"
        yield f"check of the whole file: {_took(log.faults):.1f} s"
        log._connection.execute("DELETE FROM summary")
        yield f"the box with no summary kept: {_took(log.histories):.1f} s"


def _box(path: Path) -> None:
    with ReedLog.open(path) as log:
        assert len(log.histories()) == REEDS


def _resumed(path: Path, chosen: object) -> float:
    from tui.desk import ChosenRuleset, Desk  # noqa: PLC0415 - as above
    from tui.wiring import Surroundings  # noqa: PLC0415 - as above

    assert isinstance(chosen, ChosenRuleset)
    around = Surroundings(sys.stdin, sys.stdout, sys.stderr)
    took = []
    with ReedLog.open(path) as log:
        reeds = log.histories()[:5]
    for reed in reeds:
        began = time.perf_counter()
        with ReedLog.open(path) as log:
            desk = Desk.with_reed(log, reed.name, reed, chosen, clock=around.clock, ids=around.ids)
            assert desk.interview.case.sitting >= reed.sittings
        took.append(1000 * (time.perf_counter() - began))
    return median(took)


def _command(folder: str, *words: str) -> float:
    took = []
    for _ in range(6):
        began = time.perf_counter()
        subprocess.run(
            [sys.executable, "-m", "tui.cli.main", *words],
            cwd=ROOT,
            env={**surroundings(), "CANEBRAKE_HOME": folder},
            stdout=subprocess.DEVNULL,
            check=True,
        )
        took.append(1000 * (time.perf_counter() - began))
    return median(took[1:])


def _took(do: Callable[[], object]) -> float:
    began = time.perf_counter()
    do()
    return time.perf_counter() - began


def _memory() -> float:
    """Give the most memory that this process ever held, in megabytes."""
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return most / (1e6 if sys.platform == "darwin" else 1e3)
