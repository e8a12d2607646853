"""Trees and charts drawn: the key reads back as the steps it was drawn from, and no text is obeyed."""

import re
from dataclasses import replace

import pytest

from engine.ahead import Ahead
from engine.tree import Limits, grow
from kb.model import Undo
from tests.support.optimum import beginning, solved
from tests.support.small import YES, answers, cause, effects, remedy, ruleset, sign, symptom
from tui.draw.cells import cells
from tui.draw.steps import Drawing, DrawnStep, Onward, StepKind, tree_drawing
from tui.draw.steps_dot import draw_steps_dot
from tui.draw.steps_key import DEEPEST
from tui.draw.steps_text import draw_key, draw_steps_outline

_STEP = re.compile(r"(\d+)\. ")
_WAY = re.compile(r"(yes or no|yes|no)(?:, [^:]*)?:(?: (.*))?$")
WIDE = 10_000
"""Cells on a line, so that nothing is broken in two."""


def step(number: int, *ways: tuple[str, int | None], title: str = "") -> DrawnStep:
    onward = tuple(Onward(word, None, to) for word, to in ways)
    kind = StepKind.ASK if ways and ways[0][0] else StepKind.DO if ways else StepKind.END
    return DrawnStep(number, kind, title or f"title {number}", "", "figures", onward)


def drawn(*steps: DrawnStep) -> Drawing:
    return Drawing("A tree", (), steps)


def read_back(lines: tuple[str, ...]) -> set[tuple[int, str, str]]:
    """Read a key as a person does, downwards and by depth: (step, answer, what follows)."""
    body = lines[lines.index("") + 1 :]
    cut = body.index("Cautions:") - 1 if "Cautions:" in body else len(body)
    rows = [(line.count("│ "), line.replace("│ ", "")) for line in body[:cut]]
    found: set[tuple[int, str, str]] = set()
    leading: dict[int, tuple[int, str]] = {}
    """By depth, the step and answer whose line leads to the next thing at that depth."""
    asking: dict[int, int] = {}
    for place, (depth, text) in enumerate(rows):
        way, number, goes = _WAY.match(text), _STEP.match(text), re.fullmatch(r"go to (\d+)", text)
        if not text:  # what was put off begins anew further down
            leading.clear()
        elif way is None:
            if depth in leading:
                found.add((*leading.pop(depth), number[1] if number else goes[1] if goes else text))
            if number:
                asking[depth] = int(number[1])
                leading[depth] = (asking[depth], "")
        else:
            leading.pop(depth, None)
            if way[2]:
                goes = re.fullmatch(r"go to (\d+)", way[2])
                found.add((asking[depth], way[1], goes[1] if goes else way[2]))
            else:
                leading[rows[place + 1][0]] = (asking[depth], way[1])
    return found


def edges_of(drawing: Drawing) -> set[tuple[int, str, str]]:
    """Give what a key should read back as."""
    found = set()
    for one in drawing.steps:
        for way in one.ways:
            then = None if way.to is None else drawing.step(way.to)
            name = "the chart ends here" if then is None else str(then.number) if then.ways else then.title
            found.add((one.number, way.word, name))
    return found


FORK = drawn(
    step(1, ("yes", 2), ("no", 3)),
    step(2, ("", 3)),
    step(3, ("yes", 4), ("no", 5)),
    step(4, ("", None)),
    step(5, ("", 6)),
    step(6),
)


def test_what_both_answers_lead_to_is_drawn_once_and_below() -> None:
    lines = draw_key(FORK, 80)
    assert lines == (
        "A tree",
        "",
        "1. title 1",
        "yes:",
        "│ 2. Do: title 2",
        "│ go to 3",
        "no:",
        "3. title 3",
        "yes:",
        "│ 4. Do: title 4",
        "no:",
        "5. Do: title 5",
        "title 6",
    )


def test_a_key_reads_back_as_the_steps_that_it_was_drawn_from() -> None:
    for problem in solved(5):
        tree = grow(Ahead(problem.desk.ruleset), beginning(problem.desk).case, Limits(0.001, 60, 400))
        drawing = tree_drawing(problem.desk.ruleset, tree, "A tree", ())
        assert read_back(draw_key(drawing, WIDE)) == edges_of(drawing)


def test_what_stands_too_far_right_is_drawn_further_down() -> None:
    deep = DEEPEST + 3
    ends = deep + 1
    steps = [step(n, ("yes", n + 1), ("no", ends)) for n in range(1, deep)]
    drawing = drawn(*steps, step(deep, ("", ends)), step(ends))
    lines = draw_key(drawing, WIDE)
    assert max(line.count("│ ") for line in lines) == DEEPEST
    assert read_back(lines) | {(deep, "", f"title {ends}")} == edges_of(drawing)


def test_every_line_fits_the_width() -> None:
    long = "A title that goes on, " * 8
    drawing = Drawing(long, (long,), (step(1, ("yes", 2), ("no", 2), title=long), step(2, title=long)))
    for width in (40, 80, 100):
        for lines in (draw_key(drawing, width), draw_steps_outline(drawing, width)):
            assert max(cells(line) for line in lines) <= width


def test_the_outline_says_where_every_way_leads_and_what_is_expected() -> None:
    lines = draw_steps_outline(FORK, 80)
    assert lines[:4] == ("A tree", "", "1. title 1", "    figures")
    assert "    yes: go to 2" in lines
    assert "    then the chart ends here" in lines
    assert sum(line.strip() == "figures" for line in lines) == 6


@pytest.mark.parametrize("title", ["<b>tip</b>", 'a "b" \\N', "<", "&amp;", "\x1b[2J", "\u202eback"])
def test_no_title_is_obeyed(title: str) -> None:
    drawing = Drawing(title, (title,), (step(1, ("yes", 2), ("no", 2), title=title), step(2, title=title)))
    for lines in (draw_key(drawing, 80), draw_steps_outline(drawing, 80)):
        assert not any(unsafe in line for line in lines for unsafe in ("\x1b", "\u202e"))
    dot = draw_steps_dot(drawing)
    assert "\x1b" not in dot
    assert "label=<" not in dot


def test_a_caution_stands_in_every_drawing() -> None:
    rules = ruleset(
        (symptom("dull"), replace(sign("thin"), minutes=1.0)),
        (cause("thick", 0.4, dull=0.9),),
        (
            replace(
                remedy("scrape", effects(thick=0.9), undo=Undo.NEVER, recheck=("dull",)),
                caution="Mind <your> thumb.",
            ),
        ),
    )
    tree = grow(Ahead(rules), answers(dull=YES), Limits(0.0, 30, 200))
    drawing = tree_drawing(rules, tree, "A tree", ())
    assert draw_key(drawing, 80)[-2:] == ("Cautions:", "- scrape: Mind <your> thumb.")
    assert draw_steps_outline(drawing, 80)[-1] == "- scrape: Mind <your> thumb."
    dot = draw_steps_dot(drawing)
    assert "Mind <your> thumb." in dot
    assert "cannot be undone" in dot
