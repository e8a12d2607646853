"""The page of the trade's words is what the bassoon ruleset says now."""

from tests.support.reed_words import FOLDER, files


def test_the_words_of_the_reed_are_as_the_ruleset_has_them() -> None:
    fresh = files()
    stale = [
        path.name for path, text in fresh.items() if not path.is_file() or path.read_text("utf-8") != text
    ]
    assert not stale, "run python -m tests.support.reed_words"
    assert set(FOLDER.iterdir()) <= set(fresh)
