"""Which questions the checks on wording stop at, and which sensible ones they let pass."""

from pathlib import Path

import pytest

from kb.load import beside, load_bytes

FRAME = Path(__file__).parents[2] / "docs" / "checks"


def told(ask: str, language: str = "en") -> list[str]:
    text = (
        "canebrake: 1\nid: mine\ntitle: Mine\nversion: 1.0.0\nextends: {file: frame.yaml}\n"
        f"language: {language}\nsymptoms:\n  starts-late:\n    ask: >-\n      {ask}\n"
    )
    return [str(problem.check) for problem in load_bytes("mine.yaml", text.encode(), beside(FRAME)).problems]


@pytest.mark.parametrize(
    "ask, check",
    [
        ("Is the tip too thick or too stiff?", "two-questions"),
        ("Is it late, and does it break?", "two-questions"),
        ("Is the note sharp or flat?", "two-questions"),
        ("Is it late? Does it break?", "two-questions"),
        ("Doesn't the low note start?", "negated-question"),
        ("Does the low note not speak when it is soft?", "negated-question"),
        ("Is there no crow?", "negated-question"),
        ("Is no crow heard?", "negated-question"),
        ("Can the note never be lifted?", "negated-question"),
        ("How late is it?", "open-question"),
        ("Which side is thicker?", "open-question"),
        ("When does it start?", "open-question"),
        ("Low note late", "no-question-mark"),
    ],
)
def test_a_question_that_cannot_be_answered_well_is_found(ask: str, check: str) -> None:
    assert told(ask) == [check]
    assert set(told(ask, "fi")) <= {"no-question-mark"}


@pytest.mark.parametrize(
    "ask",
    [
        "Do the two lowest notes break upwards when blown softly?",
        "When blown softly, do the low notes break?",
        "Is C sharp so flat that your lips cannot lift it?",
        "Does the crow hold both its high and its low sound?",
        "Are slow notes unsteady, loud or soft, in the middle?",
        "Is there a knot in the cane?",
        "Does it start late or not?",
        "Does it crack not only when loud?",
        "Is the note another one than you fingered?",
        "Does the pitch fall and the tone spread when you play loud?",
        "Nothing to hear?",
    ],
)
def test_a_sensible_question_passes(ask: str) -> None:
    assert told(ask) == []


@pytest.mark.parametrize("ask", ["低い音は遅れますか。", "เสียงต่ำมาช้าไหม"])
def test_a_language_that_asks_without_a_mark_may(ask: str) -> None:
    assert told(ask, "ja") == told(ask, "th") == []
