"""Trees and charts as pictures: every step on them once, nothing cut by a page, and text that stays text."""

import random
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from tests.support.running import run_here
from tui.draw.map_pages import PAPER
from tui.draw.steps import Drawing, DrawnStep, Onward, StepKind
from tui.draw.steps_svg import draw_step_pages, draw_step_sheet
from tui.draw.svg import written

SVG = "{http://www.w3.org/2000/svg}"
WHISTLE = str(Path(__file__).parents[1] / "golden" / "penny-whistle-voicing.yaml")
HOSTILE = [
    "</text><script>x</script>",
    '" onload="x',
    "&lt; &amp;",
    "\x1b[31m \u202e \ufffe",
    "竹" * 300,
    "W" * 10_000,
]


def random_steps(seed: int, most: int = 60, title: str = "") -> Drawing:
    """Make a graph without loops: every way leads to a later step, or to nothing."""
    source = random.Random(seed)
    count = source.randint(1, most)
    steps = []
    for number in range(1, count + 1):
        later = range(number + 1, count + 1)
        ways = [
            Onward(word, source.random(), source.choice([*later, None]))
            for word in source.sample(["yes", "no", "unsure"], source.randint(0, 3))
        ]
        steps.append(
            DrawnStep(number, source.choice(list(StepKind)), title or f"step {number}", "id", "figures",
                      tuple(ways), title or source.choice(["", "Mind the blade."]))
        )  # fmt: skip
    return Drawing(title or "A tree", (title or "A sentence.",), tuple(steps))


def reachable(drawing: Drawing) -> set[int]:
    found, waiting = {1}, [1]
    while waiting:
        for way in drawing.step(waiting.pop()).ways:
            if way.to is not None and way.to not in found:
                found.add(way.to)
                waiting.append(way.to)
    return found


def boxes(page: ET.Element) -> list[ET.Element]:
    return [part for part in page.iter("g") if (part.get("class") or "").startswith("step ")]


@pytest.mark.parametrize("seed", range(0, 120, 3))
def test_every_step_that_can_be_reached_is_drawn_and_each_with_ways_once(seed: int) -> None:
    drawing = random_steps(seed)
    drawn = ["".join(part.itertext()) for page in draw_step_pages(drawing) for part in boxes(page)]
    for number in reachable(drawing):
        step = drawing.step(number)
        times = sum(f"step {number} (id)" in text for text in drawn)
        assert times == 1 if step.ways else times >= 1


@pytest.mark.parametrize("seed", range(0, 120, 6))
def test_no_box_leaves_its_page(seed: int) -> None:
    for page in draw_step_pages(random_steps(seed, 200)):
        for box in page.iter("rect"):
            x, y, width, height = (float(box.get(name, 0)) for name in ("x", "y", "width", "height"))
            assert 0 <= x <= x + width <= PAPER[0]
            assert 0 <= y <= y + height <= PAPER[1]


@pytest.mark.parametrize("text", HOSTILE, ids=lambda text: ascii(text[:12]))
def test_hostile_text_makes_no_element_and_no_attribute(text: str) -> None:
    drawing = random_steps(4, title=text)
    for page in (*draw_step_pages(drawing), draw_step_sheet(drawing)):
        read = ET.fromstring(written(page))  # noqa: S314 - written by us, and this proves it well formed
        assert {part.tag for part in read.iter()} <= {
            f"{SVG}{tag}" for tag in ("svg", "g", "rect", "path", "text", "title")
        }
        assert not [name for part in read.iter() for name in part.attrib if name.startswith("on")]


def test_an_operation_carries_its_caution_and_says_that_it_cannot_be_undone() -> None:
    step = DrawnStep(
        1, StepKind.CUT, "Clip the tip", "clip", "figures", (Onward("", None, None),), "Away from fingers."
    )
    text = "".join(draw_step_sheet(Drawing("T", (), (step,))).itertext())
    assert "Do: Clip the tip; cannot be undone" in text
    assert "⚠ Caution: Away from fingers." in text


def test_a_chart_becomes_one_picture_or_pages(tmp_path: Path) -> None:
    for words in ((), ("--sheet",)):
        file = tmp_path / "chart.svg"
        ran = run_here(["tree", WHISTLE, "--chart", "first-lesson", *words, "-o", str(file)], tmp_path)
        assert (ran.code, ran.err) == (0, "")
        assert "Shim the windway floor" in file.read_text(encoding="utf-8")
