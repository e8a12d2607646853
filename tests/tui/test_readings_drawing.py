"""Readings on a scale: the dot lies where the number does, and the figure is always there."""

from hypothesis import given
from hypothesis import strategies as st

from tui.draw.cells import cells
from tui.draw.readings import CLOSES, DOT, LEAST, OPENS, Reading, draw_readings

VALUES = st.floats(0.01, 500, allow_nan=False).map(lambda value: round(value, 2))


@given(
    values=st.lists(VALUES, min_size=1, max_size=8),
    ends=st.tuples(VALUES, VALUES),
    width=st.integers(48, 120),
)
def test_the_dot_lies_between_the_brackets_exactly_when_the_reading_is_in_target(
    values: list[float], ends: tuple[float, float], width: int
) -> None:
    target = (min(ends), max(ends))
    readings = [Reading(f"sitting {n}", f"{value:g} mm", value) for n, value in enumerate(values, 1)]
    lines = draw_readings(readings, target, width)
    assert len(lines) == len(values)
    for value, line in zip(values, lines, strict=True):
        assert cells(line) <= width
        assert f"{value:g} mm" in line
        dot, opens, closes = line.index(DOT), line.find(OPENS), line.find(CLOSES)
        inside = (opens == -1 or opens < dot) and (closes == -1 or dot < closes)
        assert inside == (target[0] <= value <= target[1])


@given(values=st.lists(VALUES, min_size=2, max_size=8, unique=True))
def test_a_greater_reading_never_lies_further_left(values: list[float]) -> None:
    readings = [Reading("x", "1", value) for value in values]
    dots = [line.index(DOT) for line in draw_readings(readings, None, 100)]
    for one, dot in zip(values, dots, strict=True):
        for other, its in zip(values, dots, strict=True):
            assert one >= other or dot <= its


def test_a_narrow_window_gets_the_figures_alone() -> None:
    lines = draw_readings(
        [Reading("sitting 1", "1.35 mm", 1.35)], (1.1, 1.4), len("sitting 1  1.35 mm") + LEAST
    )
    assert lines == ("sitting 1  1.35 mm",)
    assert draw_readings([], (1.0, 2.0), 80) == ()
