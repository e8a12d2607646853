"""Changes to a text touch what they name and nothing else."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.patch import Replacement, patched
from kb.text import Span


def _at(line: int, column: int, end_column: int) -> Span:
    return Span("f.yaml", line, column, line, end_column)


def test_changes_are_made_where_the_text_was_whatever_their_order() -> None:
    text = "one: 1  # kept\r\ntwo: 2\nthree: 3"
    changes = [
        Replacement(_at(3, 8, 9), "33"),
        Replacement(_at(1, 6, 7), "11"),
        Replacement(_at(2, 1, 1), "x"),
    ]
    assert patched(text, changes) == "one: 11  # kept\r\nxtwo: 2\nthree: 33"
    assert patched(text, reversed(changes)) == patched(text, changes)


def test_two_changes_to_the_same_letters_are_refused() -> None:
    with pytest.raises(ValueError, match="same letters"):
        patched("abcdef", [Replacement(_at(1, 1, 4), ""), Replacement(_at(1, 3, 5), "")])


@pytest.mark.parametrize("span", [_at(3, 1, 1), _at(1, 9, 9), _at(1, 1, 9), _at(0, 1, 1)])
def test_a_place_outside_the_text_is_refused(span: Span) -> None:
    with pytest.raises(ValueError, match=r"there is no line|has no column"):
        patched("abc\ndef", [Replacement(span, "")])


def test_the_end_of_a_file_is_a_place() -> None:
    assert patched("abc\n", [Replacement(_at(2, 1, 1), "def\n")]) == "abc\ndef\n"
    assert patched("abc", [Replacement(_at(1, 4, 4), "\n")]) == "abc\n"


@given(st.text(alphabet="ab\n\r é", max_size=30), st.data())
def test_changing_a_stretch_into_itself_changes_nothing(text: str, data: st.DataObject) -> None:
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    line = data.draw(st.integers(1, len(lines)))
    column = data.draw(st.integers(1, len(lines[line - 1]) + 1))
    end = data.draw(st.integers(column, len(lines[line - 1]) + 1))
    stretch = lines[line - 1][column - 1 : end - 1]
    assert patched(text, [Replacement(_at(line, column, end), stretch)]) == text
