"""The table of ten reeds on the page about chances is what its two rules give.

Sources, from memory: Laplace's rule of succession (1774); E. B. Wilson, Probable inference, the law of
succession, and statistical inference, Journal of the American Statistical Association 22, 1927.
"""

import re
from math import sqrt

from kb.load import load_file
from kb.model import WORDS
from tests.support.running import ROOT

PAGE = ROOT / "docs/guides/chances.md"
STRENGTHS = ("always", "usually", "often", "sometimes", "rarely")
Z = 1.959964


def _row(seen: int) -> tuple[str, ...]:
    guess, share = (seen + 1) / 12, seen / 10
    middle = (share + Z**2 / 20) / (1 + Z**2 / 10)
    half = Z * sqrt(share * (1 - share) / 10 + Z**2 / 400) / (1 + Z**2 / 10)
    word = min(STRENGTHS, key=lambda one: abs(WORDS[one] - guess))
    return str(seen), f"{guess:.2f}", word, f"{(middle - half) * 100:.0f} % to {(middle + half) * 100:.0f} %"


def test_the_table_of_ten_reeds_is_reckoned_right() -> None:
    rows = re.findall(r"^\| (\d+) \| (.+) \| (.+) \| (.+) \|$", PAGE.read_text("utf-8"), re.MULTILINE)
    assert len(rows) >= 6
    assert rows == [_row(int(row[0])) for row in rows]


def test_the_words_stand_for_what_the_page_says() -> None:
    rows = re.findall(r"^\| ([a-z]+) \| (0\.\d+) \|", PAGE.read_text("utf-8"), re.MULTILINE)
    assert {word: float(chance) for word, chance in rows} == {word: WORDS[word] for word in STRENGTHS}


def test_the_two_rulesets_of_the_page_differ_in_chances_alone() -> None:
    folder = PAGE.parent / "chances"
    judged, usually = (load_file(folder / f"{name}.yaml").ruleset for name in ("judged", "usually"))
    assert judged is not None
    assert usually is not None
    links = [
        [(cause.id, link.finding) for cause in one.causes for link in cause.shows]
        for one in (judged, usually)
    ]
    assert links[0] == links[1]
    assert {link.word for cause in usually.causes for link in cause.shows} == {"usually"}
