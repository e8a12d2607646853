"""What is shown of a ruleset is the ruleset's own: no wire, bocal, crow or quarter where it has none."""

import re
from pathlib import Path

import pytest

from kb.load import load_bytes
from tests.support.published import shipped
from tests.support.running import ROOT, run_here

SINGLE = "rulesets/single-reed.yaml"
OBOE = "rulesets/oboe.yaml"
OF_DOUBLE_REEDS = re.compile(
    r"\b(?:bassoon|bocals?|wires?|crows?|quarters?|upper blade|lower blade|tube)\b", re.IGNORECASE
)
OF_BASSOONS = re.compile(r"\b(?:bassoon|bocals?|collar|wire [123])\b", re.IGNORECASE)


def shown(home: Path, *words: str, given: str = "") -> str:
    ran = run_here([words[0], str(ROOT / words[1]), *words[2:]], home, given=given)
    assert ran.code == 0, ran.err
    return ran.out + ran.err


def pages(home: Path, ruleset: str) -> dict[str, str]:
    """Give what each way of showing a ruleset shows."""
    page, sheet = home / "page.html", home / "zones.svg"
    shown(home, "handout", ruleset, "-o", str(page))
    shown(home, "zones", ruleset, "-o", str(sheet))
    return {
        "zones": shown(home, "zones", ruleset),
        "map": shown(home, "map", ruleset),
        "weigh": shown(home, "weigh", ruleset),
        "interview": shown(home, "interview", ruleset, "--plain", given="no\nno\nstop\n"),
        "handout": page.read_text("utf-8"),
        "sheet": sheet.read_text("utf-8"),
    }


def bare(page: str) -> str:
    """Leave out styles, and the titles of sources: an article on oboe and bassoon may be cited."""
    page = re.sub(r"<style.*?</style>|class=\"[^\"]*\"", "", page, flags=re.DOTALL)
    for name in ("oboe", "single-reed"):
        for source in shipped(name).sources:
            page = page.replace(source.title, "")
    return page


def test_a_single_reed_is_shown_without_a_word_of_double_reeds(tmp_path: Path) -> None:
    for name, page in pages(tmp_path, SINGLE).items():
        found = OF_DOUBLE_REEDS.search(bare(page))
        assert found is None, (name, found)


def test_an_oboe_reed_is_shown_without_a_word_of_bassoons(tmp_path: Path) -> None:
    for name, page in pages(tmp_path, OBOE).items():
        found = OF_BASSOONS.search(bare(page))
        assert found is None, (name, found)


@pytest.mark.parametrize("blades,quarters", [(1, False), (2, True)])
def test_quarters_are_drawn_where_there_are_two_blades(
    blades: int, *, quarters: bool, tmp_path: Path
) -> None:
    path = tmp_path / "reed.yaml"
    text = (ROOT / SINGLE).read_text("utf-8").replace("\nblades: 1\n", f"\nblades: {blades}\n")
    path.write_text(text, encoding="utf-8")
    said = run_here(["zones", str(path)], tmp_path / "home").out
    assert ("The four quarters:" in said) is quarters


@pytest.mark.parametrize("blades", ["0", "3", "two", "1.5"])
def test_a_reed_has_one_blade_or_two(blades: str) -> None:
    text = (ROOT / SINGLE).read_text("utf-8").replace("\nblades: 1\n", f"\nblades: {blades}\n")
    loaded = load_bytes("reed.yaml", text.encode())
    assert loaded.ruleset is None
    at = text.splitlines().index(f"blades: {blades}") + 1
    assert at in [problem.span.line for problem in loaded.problems]
