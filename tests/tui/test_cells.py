"""Widths on the screen, and the caret under the spot."""

from hypothesis import given
from hypothesis import strategies as st

from kb.problem import CheckName, Problem, Severity
from kb.text import Span
from tui.cli.report import problem_lines, summing_line
from tui.draw.cells import cells, fitted, padded, wrapped

words = st.text(st.sampled_from("ab é竹e\u0301-"), max_size=60)


@given(words, st.integers(1, 40))
def test_fitted_text_fits_and_is_a_beginning(text: str, width: int) -> None:
    shown = fitted(text, width)
    assert cells(shown) <= width
    assert shown == text or text.startswith(shown.removesuffix("…"))


@given(words, st.integers(4, 40), st.integers(1, 4))
def test_wrapped_lines_fit_and_lose_nothing_unless_they_say_so(text: str, width: int, most: int) -> None:
    lines = wrapped(text, width, most)
    assert 1 <= len(lines) <= most
    assert all(cells(line) <= width for line in lines)
    if not lines[-1].endswith("…"):
        assert "".join("".join(lines).split()) == "".join(text.split())


@given(words, st.integers(0, 80))
def test_padding_reaches_the_width(text: str, width: int) -> None:
    assert cells(padded(text, width)) == max(width, cells(text))


def problem(column: int, end: int, *, line: int = 3, hint: str = "look") -> Problem:
    return Problem(Span("a.yaml", line, column, line, end), CheckName("a-check"), "something is wrong", hint)


def test_the_caret_stands_under_the_spot_behind_wide_letters() -> None:
    excerpt = 'ask: "竹竹", by: plai'
    head, shown, carets = problem_lines(problem(16, 20), excerpt, 80)
    assert head == "a.yaml:3:16 error: something is wrong (a-check)"
    assert shown == f"3 | {excerpt}"
    start = cells(carets[: carets.index("^")])
    assert start == cells(shown[: shown.index("plai")])
    assert carets.count("^") == 4
    assert carets.endswith("   look")


def test_the_caret_stands_under_the_spot_in_a_line_that_is_too_long() -> None:
    excerpt = "x" * 5000 + "HERE" + "y" * 5000
    _, shown, carets = problem_lines(problem(5001, 5005), excerpt, 80)
    at = carets.index("^")
    assert shown[at : at + 4] == "HERE"
    assert cells(shown) <= 80
    assert carets.count("^") == 4


def test_a_control_character_in_the_line_moves_nothing() -> None:
    excerpt = "a\x1b[2J: HERE"
    _, shown, carets = problem_lines(problem(8, 12), excerpt, 80)
    at = carets.index("^")
    assert shown[at : at + 4] == "HERE"
    assert "\x1b" not in shown


def test_a_tab_takes_one_cell_so_that_the_caret_is_right() -> None:
    _, shown, carets = problem_lines(problem(2, 6), "\tHERE", 80)
    at = carets.index("^")
    assert shown[at : at + 4] == "HERE"


def test_ten_million_letters_are_shown_in_an_instant() -> None:
    lines = problem_lines(problem(9_999_990, 9_999_994), "竹" * 10_000_000, 80)
    assert all(cells(line) <= 90 for line in lines)


def test_a_span_over_several_lines_is_marked_to_the_end_of_its_first() -> None:
    spread = Problem(Span("a.yaml", 1, 3, 4, 2), CheckName("a-check"), "wrong", "")
    _, _, carets = problem_lines(spread, "a: [b, c", 80)
    assert carets == "  |   ^^^^^^"


def test_a_problem_with_the_whole_file_shows_no_line() -> None:
    assert problem_lines(problem(1, 1), "", 80)[1:] == ["  | look"]


def test_the_last_line_sums_up() -> None:
    warning = Problem(Span("a", 1, 1, 1, 2), CheckName("x"), "m", "", Severity.WARNING)
    assert summing_line(["a"], []) == "a: no problems"
    assert summing_line(["a"], [problem(1, 2), warning]) == "a: 1 error, 1 warning"
    assert summing_line(["a", "b"], [warning, warning]) == "2 rulesets: 2 warnings"
