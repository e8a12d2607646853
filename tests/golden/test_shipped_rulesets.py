"""Every ruleset that ships loads without a problem, passes its own trials, and is safe to follow."""

import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from engine.trial import run_trial
from kb.load import Loaded, load_file
from kb.model import Cause, Finding, Hazard, Remedy, Ruleset

ROOT = Path(__file__).parents[2]
SHIPPED = sorted((ROOT / "rulesets").glob("*.yaml"))
PUBLISHED = "published"


@cache
def loaded(path: Path) -> Loaded:
    return load_file(path)


def ruleset_of(path: Path) -> Ruleset:
    found = loaded(path).ruleset
    assert found is not None, loaded(path).problems
    return found


def each_trial() -> Iterator[object]:
    """Name the trials of each ruleset; one that does not load has its own failing test."""
    for path in SHIPPED:
        found = loaded(path).ruleset
        for number, trial in enumerate(found.trials if found else ()):
            yield pytest.param(path, number, id=f"{path.stem}-{number}-{trial.title[:50]}")


def test_there_is_a_bassoon_ruleset() -> None:
    assert "bassoon.yaml" in [path.name for path in SHIPPED]


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_it_loads_without_a_problem(path: Path) -> None:
    assert not loaded(path).problems
    assert loaded(path).ruleset is not None


@pytest.mark.parametrize("path,number", list(each_trial()))
def test_its_trials_pass(path: Path, number: int) -> None:
    ruleset = ruleset_of(path)
    result = run_trial(ruleset, ruleset.trials[number])
    assert result.passed, (result.misses, result.advice.step, result.advice.ranked[:4])


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_every_entry_names_a_source(path: Path) -> None:
    ruleset = ruleset_of(path)
    entries: list[Finding | Cause | Remedy] = [*ruleset.findings, *ruleset.causes, *ruleset.operations]
    assert not [entry.id for entry in entries if not entry.sources]


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_every_source_is_of_a_known_kind_and_says_how_much_was_read(path: Path) -> None:
    for source in ruleset_of(path).sources:
        assert source.kind in {PUBLISHED, "common practice", "from memory"}, source.id
        if source.kind == PUBLISHED:
            assert source.title, source.id
            assert source.read, source.id


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_every_tool_that_can_hurt_comes_with_a_caution(path: Path) -> None:
    ruleset = ruleset_of(path)
    bare = [
        remedy.id
        for remedy in ruleset.operations
        if remedy.tool is not None
        and ruleset.tool[remedy.tool].hazard is not Hazard.NONE
        and len(remedy.caution.split()) < 8
    ]
    assert not bare


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_what_can_never_be_undone_is_looked_at_before_and_after(path: Path) -> None:
    cuts = [one for one in ruleset_of(path).remedies if one.undo == "never"]
    assert cuts
    assert not [one.id for one in cuts if not one.unless]
    assert not [one.id for one in cuts if not one.recheck]


def asks_one_thing(finding: Finding) -> bool:
    return finding.ask.endswith("?") and finding.ask.count("?") == 1


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_questions_can_be_answered_yes_or_no(path: Path) -> None:
    starts = re.compile(r"(Is|Are|Do|Does|Can|Has|Have|Did|Was|Were|Will)\b")
    odd = [one.id for one in ruleset_of(path).findings if not (asks_one_thing(one) and starts.match(one.ask))]
    assert not odd
    assert not [one.id for one in ruleset_of(path).findings if re.search(r"\b(?:not|n't|never)\b", one.ask)]


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_it_says_that_strengths_are_a_judgement_and_under_which_licence(path: Path) -> None:
    ruleset = ruleset_of(path)
    assert "judgement" in ruleset.about
    assert ruleset.licence == "CC-BY-4.0"
    assert ruleset.language == "en"


# What was promised of the bassoon ruleset, in numbers.


@cache
def bassoon() -> Ruleset:
    return ruleset_of(ROOT / "rulesets" / "bassoon.yaml")


def test_the_bassoon_ruleset_is_as_large_as_promised() -> None:
    ruleset = bassoon()
    assert len(ruleset.symptoms) >= 20
    assert len(ruleset.signs) >= 12
    assert len(ruleset.causes) >= 25
    assert len(ruleset.operations) >= 30
    assert len(ruleset.trials) >= 15
    assert {one.priority for one in ruleset.symptoms} == {one.id for one in ruleset.priorities}


def test_player_bocal_and_instrument_can_be_at_fault() -> None:
    assert len([cause for cause in bassoon().causes if cause.elsewhere]) >= 4


def test_disagreements_are_kept() -> None:
    entries: list[Finding | Remedy] = [*bassoon().findings, *bassoon().operations]
    assert (
        sum(bool(entry.differs) for entry in entries) + sum(bool(one.differs) for one in bassoon().causes)
        >= 10
    )


def test_zones_are_drawn_and_wires_are_counted_from_the_tip() -> None:
    zones = bassoon().zones
    assert {zone.wire for zone in zones if zone.wire is not None} == {1, 2, 3}
    assert all(zone.polygon or zone.wire for zone in zones)
    heart = next(zone for zone in zones if zone.id == "heart")
    back = next(zone for zone in zones if zone.id == "back")
    assert max(y for _, y in heart.polygon) < min(y for _, y in back.polygon)


def test_the_list_of_sources_names_every_source_of_the_ruleset() -> None:
    page = (ROOT / "docs" / "sources.md").read_text("utf-8")
    for source in bassoon().sources:
        assert f"`{source.id}`" in page, source.id
        if source.kind == PUBLISHED:
            assert source.title in page, source.id
