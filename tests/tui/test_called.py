"""What was typed finds first the line that is called so."""

from hypothesis import given
from hypothesis import strategies as some

from tui.called import WHOLE, nearness


def test_a_phrase_in_a_title_comes_before_its_words_scattered_over_another() -> None:
    titles = ["The crow jumps to one pitch when blown harder", "The reed is hard to blow"]
    assert min(titles, key=lambda title: nearness("hard to blow", title) or 0) == titles[1]


def test_a_title_comes_before_what_is_only_said_besides() -> None:
    besides = "Make wire 1 firm again"
    assert nearness("wire 1 firm", "Make wire 1 firm") == WHOLE
    assert nearness("wire 1 firm", "Slide the blades back", besides) == 3


def test_what_lacks_a_word_is_not_found() -> None:
    assert nearness("wire firm", "Make wire 1 tight") is None


@given(some.text(max_size=30))
def test_every_line_is_called_by_its_own_title_and_by_nothing_at_all(title: str) -> None:
    assert nearness(" ".join(title.split()), " ".join(title.split())) == WHOLE
    assert nearness("", title) == WHOLE
