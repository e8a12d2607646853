"""Benches: how long things take, as a table. Run `python3 -m tests.bench` in the environment.

Not tests: they pass and fail nothing, since a busy machine would. Without arguments all benches run,
in some minutes; with names only those: `python3 -m tests.bench commands`. To add a bench, write a
function that gives the lines of its table, and name it in BENCHES.
"""

import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

from tests.bench.big_rulesets import ruleset
from tests.bench.first_paint import first_paints, surroundings

ROOT = Path(__file__).resolve().parents[2]
RUNS = 15


@dataclass(frozen=True, slots=True)
class Row:
    """One measurement, in milliseconds."""

    what: str
    took: float
    beside: str
    beside_took: float
    promise: str

    @property
    def ratio(self) -> float:
        return self.took / self.beside_took


def run_time(words: Sequence[str], runs: int = RUNS) -> float:
    """Give the median time of a fresh Python run, after one that fills the caches of compiled modules."""
    took = []
    for _ in range(runs + 1):
        began = time.perf_counter()
        subprocess.run(
            [sys.executable, *words], cwd=ROOT, env=surroundings(), stdout=subprocess.DEVNULL, check=True
        )
        took.append(1000 * (time.perf_counter() - began))
    return median(took[1:])


def start_up() -> list[Row]:
    """Measure the two commands whose start-up is promised."""
    bare = run_time(["-c", ""])
    command = ["-m", "tui.cli.main"]
    rows = [
        ("canebrake --version", [*command, "--version"], "at most 2×"),
        ("canebrake check rulesets/bassoon.yaml", [*command, "check", "rulesets/bassoon.yaml"], "at most 8×"),
    ]
    return [Row(what, run_time(words), "python3 -c ''", bare, promise) for what, words, promise in rows]


def checking() -> list[Row]:
    """Measure `check` on generated rulesets, small and big."""
    command = ["-m", "tui.cli.main", "check"]
    loads = "import sys, yaml; yaml.load(open(sys.argv[1], encoding='utf-8'), yaml.CSafeLoader)"
    with TemporaryDirectory() as folder:
        small, big = Path(folder) / "small.yaml", Path(folder) / "big.yaml"
        small.write_text(ruleset(100), encoding="utf-8")
        big.write_text(ruleset(10_000), encoding="utf-8")
        return [
            Row(
                "check of 100 entries",
                run_time([*command, str(small)]),
                "python3 -c ''",
                run_time(["-c", ""]),
                "at most 8×",
            ),
            Row(
                "check of 10,000 entries",
                run_time([*command, str(big)], 5),
                "PyYAML's CSafeLoader",
                run_time(["-c", loads, str(big)], 5),
                "at most 1×",
            ),
        ]


def first_paint() -> list[Row]:
    """Measure how soon the screen is painted, and how soon the first question and the box stand on it."""
    paints = first_paints()
    rows = [
        ("first paint of a sitting", paints.frame, "at most 1.25×"),
        ("first question painted", paints.question, ""),
        ("box of reeds painted", paints.box, ""),
    ]
    return [Row(what, took, "bare application", paints.bare, promise) for what, took, promise in rows]


def table(rows: Sequence[Row]) -> str:
    """Lay the rows out."""
    head = ("what", "took", "beside", "took", "ratio", "promised")
    cells = [head] + [
        (
            row.what,
            f"{row.took:.1f} ms",
            row.beside,
            f"{row.beside_took:.1f} ms",
            f"{row.ratio:.1f}×",
            row.promise,
        )
        for row in rows
    ]
    widths = [max(len(line[column]) for line in cells) for column in range(len(head))]
    return "\n".join(
        "  ".join(text.ljust(width) for text, width in zip(line, widths, strict=True)).rstrip()
        for line in cells
    )


def commands() -> Iterator[str]:
    """Measure what a maker waits for when a command starts, beside the least that it could be."""
    yield from table([*start_up(), *checking(), *first_paint()]).splitlines()


def engine() -> Iterator[str]:
    """Measure belief and the next step."""
    from tests.bench.engine_times import tables  # noqa: PLC0415 - loads numpy

    return tables()


def optimum() -> Iterator[str]:
    """Compare what following the advice costs with the least that any policy could cost."""
    from tests.bench.near_optimum import near_optimum  # noqa: PLC0415 - loads numpy

    return near_optimum()


def curves() -> Iterator[str]:
    """Measure how the cost of a belief grows, and draw it for the method page."""
    from tests.bench.curves import curves as lines  # noqa: PLC0415 - loads numpy

    return lines()


def peers() -> Iterator[str]:
    """Compare all posteriors with general-purpose libraries; needs the bench extra."""
    from tests.bench.peers import peers as lines  # noqa: PLC0415 - loads numpy

    return lines()


def log() -> Iterator[str]:
    """Measure a reed log of ten years."""
    from tests.bench.log_times import log_times  # noqa: PLC0415 - makes a large file

    return log_times()


def drawings() -> Iterator[str]:
    """Measure maps and pages."""
    from tests.bench.drawings import drawings as lines  # noqa: PLC0415 - loads what draws

    return iter(lines())


def desk() -> Iterator[str]:
    """Measure what a maker waits for between a key and the next question, and what waiting costs."""
    from tests.bench.desk_times import desk_times  # noqa: PLC0415 - loads the screen library

    return desk_times()


def tuning() -> Iterator[str]:
    """Measure tuning on a log of virtual reeds."""
    from tests.bench.tune_times import tune_times  # noqa: PLC0415 - loads numpy

    return tune_times()


BENCHES: Mapping[str, Callable[[], Iterator[str]]] = {
    "commands": commands,
    "desk": desk,
    "engine": engine,
    "log": log,
    "optimum": optimum,
    "peers": peers,
    "curves": curves,
    "tuning": tuning,
    "drawings": drawings,
}


def main(names: Sequence[str]) -> int:
    """Run the benches that are named, or all, and print their tables."""
    unknown = [name for name in names if name not in BENCHES]
    if unknown:
        print(f"no bench is called {unknown[0]!r}; there are {', '.join(BENCHES)}", file=sys.stderr)
        return 2
    for name in names or BENCHES:
        for line in BENCHES[name]():
            print(line, flush=True)
        print()
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
