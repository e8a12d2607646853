"""The page on safety speaks of every danger that the rulesets know, and of every caution in them.

What the page says is common practice, no source, where it names none.
"""

import re
from pathlib import Path

import pytest

from kb.load import load_file
from kb.model import Hazard, Remedy, Ruleset
from tests.support.running import ROOT

PAGE = ROOT / "docs/guides/safety.md"
SHIPPED = sorted((ROOT / "rulesets").glob("*.yaml"))


def _sections() -> dict[str, tuple[list[str], str]]:
    """Give each hazard's watchwords and the text of its part of the page."""
    parts = re.split(r"^## ", PAGE.read_text("utf-8"), flags=re.MULTILINE)
    found = {}
    for part in parts:
        traced = re.search(r"<!-- traces ([a-z]+): (.*) -->\n", part)
        if traced:
            said = part.replace(traced[0], "").casefold()
            found[traced[1]] = ([word.strip() for word in traced[2].split(";")], said)
    return found


def _ruleset(path: Path) -> Ruleset:
    ruleset = load_file(path).ruleset
    assert ruleset is not None
    return ruleset


def _hazard_of(ruleset: Ruleset, remedy: Remedy) -> Hazard:
    return ruleset.tool[remedy.tool].hazard if remedy.tool is not None else Hazard.NONE


def test_every_danger_has_its_part_and_every_watchword_is_said_there() -> None:
    sections = _sections()
    assert set(sections) == set(Hazard) - {Hazard.NONE}
    assert [word for words, said in sections.values() for word in words if word not in said] == []


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_every_caution_of_a_shipped_ruleset_goes_back_to_the_page(path: Path) -> None:
    ruleset, sections = _ruleset(path), _sections()
    anywhere = [word for words, _ in sections.values() for word in words]
    loose = [
        f"{remedy.id}: {remedy.caution}"
        for remedy in ruleset.remedies
        if remedy.caution
        and not any(
            word in remedy.caution.casefold()
            for word in sections.get(_hazard_of(ruleset, remedy), (anywhere, ""))[0]
        )
    ]
    assert loose == [], "say it on the page, in the part of its tool, and add its watchword"
