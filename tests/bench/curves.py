"""The cost of a belief as curves: measured, then drawn into the picture of docs/method.md.

`python -m tests.bench curves` measures and writes the picture anew. Nothing tests its numbers: they
are of the machine that it was made on.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from math import ceil, floor, log10
from pathlib import Path
from statistics import median
from xml.sax.saxutils import escape

from engine.belief import believe
from engine.case import Case
from kb.model import Ruleset
from tests.bench.engine_times import SEEDS, took
from tests.bench.networks import told, workshop

PICTURE = Path(__file__).resolve().parents[2] / "docs" / "pictures" / "cost-of-belief.svg"
BLUE, VERMILION, GREEN = "#0072B2", "#D55E00", "#009E73"
"""Of the colours that eyes of all kinds tell apart (M. Okabe and K. Ito, Color Universal Design, 2008)."""
WIDE, HIGH, EDGE = 300, 240, 46


@dataclass(frozen=True, slots=True)
class Curve:
    """One line of a panel."""

    what: str
    colour: str
    dash: str
    points: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Panel:
    """Curves over one thing that grows."""

    title: str
    across: str
    curves: tuple[Curve, ...]


def curves() -> Iterator[str]:
    """Measure, draw, and say what was measured."""
    panels = (_by_positives(), _by_rounds(), _by_size())
    for panel in panels:
        yield panel.title
        for curve in panel.curves:
            points = ", ".join(f"{x:g}: {y:.1f} ms" for x, y in curve.points)
            yield f"  {curve.what} ({panel.across}) {points}"
    PICTURE.parent.mkdir(exist_ok=True)
    PICTURE.write_text(drawn(panels), encoding="utf-8")
    yield f"drawn: {PICTURE.relative_to(PICTURE.parents[2])}"


def _time(ruleset: Ruleset, cases: Sequence[Case]) -> float:
    return median(took(partial(believe, ruleset, case)) for case in cases)


def _by_positives() -> Panel:
    ruleset, counts = workshop(1), (1, 2, 4, 6, 8, 10, 12, 14, 16)
    points = tuple(
        (float(n), _time(ruleset, [told(ruleset, seed, 1, n) for seed in range(SEEDS)])) for n in counts
    )
    return Panel("One round, 40 causes, 20 no", "answers yes", (Curve("all posteriors", BLUE, "", points),))


def _by_rounds() -> Panel:
    ruleset, counts = workshop(1), (1, 2, 3, 4, 5, 6)

    def curve(what: str, colour: str, dash: str, *, fresh: bool) -> Curve:
        points = tuple(
            (
                float(n),
                _time(ruleset, [told(ruleset, seed, n, 3 * n, fresh=fresh) for seed in range(SEEDS)]),
            )
            for n in counts
        )
        return Curve(what, colour, dash, points)

    same = curve("the same 3 yes in each", BLUE, "", fresh=False)
    other = curve("3 other yes in each", VERMILION, "6 3", fresh=True)
    return Panel("Several rounds, 40 causes", "rounds", (same, other))


def _by_size() -> Panel:
    points = []
    for causes in (10, 20, 40, 80, 160, 320):
        ruleset = workshop(1, causes, 2 * causes)
        cases = [told(ruleset, seed, 1, 8, min(20, causes)) for seed in range(SEEDS)]
        points.append((float(causes), _time(ruleset, cases)))
    return Panel("One round, 8 yes", "causes", (Curve("all posteriors", GREEN, "", tuple(points)),))


def drawn(panels: Sequence[Panel]) -> str:
    """Draw panels side by side as SVG; time runs upward in powers of ten, the same in all."""
    times = [y for panel in panels for curve in panel.curves for _, y in curve.points]
    low, high = floor(log10(min(times))), ceil(log10(max(times)))
    box = f'viewBox="0 0 {WIDE * len(panels)} {HIGH}"'
    font = 'font-family="sans-serif" font-size="11" fill="#222222"'
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" {box} {font}>',
        "<title>Time for all posteriors, in milliseconds</title>",
        '<rect width="100%" height="100%" fill="#ffffff"/>',
    ]
    for number, panel in enumerate(panels):
        parts.append(f'<g transform="translate({number * WIDE} 0)">')
        parts += _panel(panel, low, high)
        parts.append("</g>")
    return "\n".join((*parts, "</svg>", ""))


def _panel(panel: Panel, low: int, high: int) -> Iterator[str]:
    left, right, top, bottom = EDGE, WIDE - 16, 34, HIGH - EDGE
    most = max(x for curve in panel.curves for x, _ in curve.points)

    def place(x: float, y: float) -> tuple[float, float]:
        across = left + (right - left) * x / most
        return across, bottom - (bottom - top) * (log10(y) - low) / (high - low)

    yield f'<text x="{left}" y="18" font-weight="bold">{escape(panel.title)}</text>'
    for power in range(low, high + 1):
        _, y = place(0, 10.0**power)
        yield f'<line x1="{left}" y1="{y:.1f}" x2="{right}" y2="{y:.1f}" stroke="#cccccc"/>'
        yield f'<text x="{left - 5}" y="{y + 4:.1f}" text-anchor="end">{10.0**power:g} ms</text>'
    for x in sorted({x for curve in panel.curves for x, _ in curve.points}):
        if x * 24 >= most:
            across, _ = place(x, 1.0)
            yield f'<text x="{across:.1f}" y="{bottom + 15}" text-anchor="middle">{x:g}</text>'
    middle = (left + right) / 2
    yield f'<text x="{middle}" y="{bottom + 34}" text-anchor="middle">{escape(panel.across)}</text>'
    for number, curve in enumerate(panel.curves):
        points = [place(x, y) for x, y in curve.points]
        line = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
        dash = f' stroke-dasharray="{curve.dash}"' if curve.dash else ""
        yield f'<polyline points="{line}" fill="none" stroke="{curve.colour}" stroke-width="2"{dash}/>'
        yield from (f'<circle cx="{x:.1f}" cy="{y:.1f}" r="3" fill="{curve.colour}"/>' for x, y in points)
        key = top + 12 + 15 * number
        stroke = f'stroke="{curve.colour}" stroke-width="2"{dash}'
        yield f'<line x1="{left + 8}" y1="{key}" x2="{left + 32}" y2="{key}" {stroke}/>'
        yield f'<text x="{left + 38}" y="{key + 4}">{escape(curve.what)}</text>'
