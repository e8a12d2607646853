"""What a ruleset, a log or a file name says is shown and never obeyed."""

import unicodedata

from hypothesis import given
from hypothesis import strategies as st

from tui.draw.literal import literal, literal_lines


@given(st.text())
def test_nothing_that_steers_a_terminal_or_turns_a_line_comes_through(text: str) -> None:
    shown = literal(text)
    assert not any(unicodedata.category(one) in {"Cc", "Cs", "Zl", "Zp"} for one in shown)
    assert not any(
        unicodedata.bidirectional(one) in {"LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI"}
        for one in shown
    )


@given(st.text(st.characters(categories=["L", "M", "N", "P", "S", "Zs"])))
def test_letters_of_any_language_stay_as_they_are(text: str) -> None:
    assert literal(text) == text


@given(st.text())
def test_showing_twice_is_showing_once(text: str) -> None:
    assert literal(literal(text)) == literal(text)


def test_escapes_overrides_and_invisible_letters_are_spelled_out() -> None:
    assert literal("a\x1b[2Jb") == r"a\x1b[2Jb"
    assert literal("a\x9b2Jb") == r"a\x9b2Jb"
    assert literal("tip\u202epit") == r"tip\u202epit"
    assert literal("ti\u200bp\U000e0041") == r"ti\u200bp\U000e0041"
    assert literal("name\udce9") == r"name\udce9"


def test_line_ends_become_spaces_in_a_line_and_lines_in_lines() -> None:
    assert literal("one\r\ntwo\tthree") == "one two three"
    assert literal_lines("one\r\ntwo\nthree") == ["one", "two", "three"]


def test_joined_letters_that_some_languages_need_stay() -> None:
    assert literal("\u0915\u094d\u200d\u0937") == "\u0915\u094d\u200d\u0937"
