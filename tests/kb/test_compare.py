"""Comparing in meaning: what counts as a difference, what does not, and in which words it is told."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from enum import Enum
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.compare.changes import Comparison, EntryChange, What, compare
from kb.compare.said import Section, chance, number
from kb.ids import CauseId, FindingId, RemedyId, SourceId, ToolId, ZoneId
from kb.load import load, load_file
from kb.model import (
    Allowance,
    Answer,
    Dissent,
    GivenRound,
    Priority,
    Ruleset,
    Tool,
    Zone,
)
from kb.model import TestNote as PlayedNote  # else pytest takes it for a test
from kb.text import SourceText
from tests.support.strategies import LAW, reordered, situations

GOLDEN = Path(__file__).resolve().parents[1] / "golden"
WHISTLE = (GOLDEN / "penny-whistle-voicing.yaml").read_text(encoding="utf-8")


def read(text: str) -> Ruleset:
    loaded = load(SourceText.of("test.yaml", text))
    assert loaded.ruleset is not None, loaded.problems
    return loaded.ruleset


def studio() -> Ruleset:
    ruleset = load_file(GOLDEN / "penny-whistle-studio.yaml").ruleset
    assert ruleset is not None
    return ruleset


def changed(*replacements: tuple[str, str]) -> Comparison:
    """Compare the golden ruleset with itself after some replacements of its text."""
    text = WHISTLE
    for old, new in replacements:
        assert old in text, old
        text = text.replace(old, new)
    return compare(read(WHISTLE), read(text))


def only(found: Comparison) -> EntryChange:
    assert len(found.entries) == 1, found.entries
    return found.entries[0]


def told(entry: EntryChange) -> list[str]:
    ends = ((one.key, one.before.words if one.before else None, one.after) for one in entry.keys)
    return [f"{' '.join(key)}: {was} → {now.words if now else None}" for key, was, now in ends]


# -- what is no difference ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    "replacements",
    [
        [("# most urgent first", "# another remark")],
        [("title: The block is damp", "title: 'The block is damp'")],
        [("{soft-notes-dull: often}", '{"soft-notes-dull": often}')],
        [("    leak: 0.02                    # the default\n", "")],  # what is usual anyway
        [("{damp-block: usually}", "{damp-block: 0.8}")],  # a word, and its number
        [("worth: 90", "worth: 90.0")],
        [("\n", "\r\n")],
        [("  windway: {title: Windway}", "  windway:\n    title: |-\n      Windway")],
    ],
)
def test_layout_comments_quotes_and_what_is_usual_anyway_change_nothing(
    replacements: list[tuple[str, str]],
) -> None:
    assert changed(*replacements).is_same


def test_a_byte_order_mark_changes_nothing(tmp_path: Path) -> None:
    path = tmp_path / "marked.yaml"
    path.write_bytes(b"\xef\xbb\xbf" + WHISTLE.encode())
    marked = load_file(path).ruleset
    assert marked is not None
    assert compare(read(WHISTLE), marked).is_same


def test_a_layer_and_the_same_written_out_are_the_same(tmp_path: Path) -> None:
    layer = (
        "canebrake: 1\nid: penny-whistle-voicing\nversion: 1.0.0\nextends: {file: base.yaml}\n"
        "title: Voicing a penny whistle\ncauses: {damp-block: {how_common: rare}}\n"
    )
    base = WHISTLE.replace("version: 1.0.0  ", "version: 0.9.0  ")
    (tmp_path / "base.yaml").write_text(base, encoding="utf-8")
    (tmp_path / "layer.yaml").write_text(layer, encoding="utf-8")
    whole = WHISTLE.replace("block is damp, how_common: common", "block is damp, how_common: rare")
    layered = load_file(tmp_path / "layer.yaml")
    assert layered.ruleset is not None, layered.problems
    assert compare(read(whole), layered.ruleset).is_same


@LAW
@given(situations(), st.integers(0, 2**32))
def test_the_order_of_entries_changes_nothing(situation: tuple[Ruleset, object], seed: int) -> None:
    ruleset, _ = situation
    assert compare(ruleset, ruleset).is_same
    assert compare(ruleset, reordered(ruleset, seed)).is_same


# -- what is one --------------------------------------------------------------------------------------


def test_a_chance_is_told_with_its_word_and_its_number() -> None:
    entry = only(changed(("{high-notes-hiss: usually}", "{high-notes-hiss: often}")))
    assert (entry.what, entry.section, entry.id) == (What.CHANGED, Section.CAUSES, "windway-too-low")
    assert told(entry) == ["shows high-notes-hiss: usually (0.80) → often (0.60)"]
    assert entry.keys[0].before_span.line == entry.keys[0].after_span.line > 1


def test_a_word_that_means_something_else_is_told_once_with_where_it_stands() -> None:
    entry = only(changed(("opening:", "words: {usually: 0.7}\nopening:")))
    assert (entry.section, entry.id) == (Section.WORDS, "usually")
    assert told(entry) == [": 0.80 → 0.70"]
    assert entry.used_by == ("windway-too-tall", "windway-too-low", "shim-windway", "overnight")


def test_a_link_that_changes_its_word_as_the_words_change_is_told_as_well() -> None:
    found = changed(
        ("opening:", "words: {often: 0.7}\nopening:"), ("{damp-block: usually}", "{damp-block: often}")
    )
    words, rest = found.entries
    assert words.used_by == ("damp-block", "pare-windway")
    assert told(rest) == ["cures damp-block: usually (0.80) → often (0.70)"]


def test_the_order_of_priorities_and_of_the_opening_counts() -> None:
    swapped = read(WHISTLE)
    first, second, *rest = swapped.priorities
    swapped = replace(swapped, priorities=(second, first, *rest))
    entry = only(compare(read(WHISTLE), swapped))
    assert entry.section is Section.HEAD
    assert told(entry) == [
        "order of priorities: response, stability, flexibility → stability, response, flexibility"
    ]
    one, two = FindingId("windway-high"), FindingId("low-notes-break")
    before, after = replace(swapped, opening=(one, two)), replace(swapped, opening=(two, one))
    assert told(only(compare(before, after)))[0].startswith("opening: windway-high, low-notes-break")


def test_an_entry_is_added_and_withdrawn() -> None:
    line = next(one for one in WHISTLE.splitlines(keepends=True) if "overnight:" in one)
    without = read(WHISTLE.replace(line, "  {}\n"))
    gone = only(compare(read(WHISTLE), without))
    assert (gone.what, gone.id, gone.title) == (What.WITHDRAWN, "overnight", "Leave it overnight")
    come = only(compare(without, read(WHISTLE)))
    assert come.what is What.ADDED
    assert "cures damp-block: None → usually (0.80)" in told(come)
    assert not any(one.startswith("at_most") for one in told(come))  # the usual is not told


def test_a_renamed_entry_is_known_again_and_its_references_follow() -> None:
    entry = only(changed(("windway-high", "slot-high")))
    assert (entry.what, entry.old_id, entry.id) == (What.RENAMED, "windway-high", "slot-high")
    assert not entry.keys


def test_an_entry_renamed_and_changed_a_little_is_known_again() -> None:
    found = changed(
        ("windway-too-low", "slot-too-low"),
        ("The windway is too low", "The windway is much too low"),
        ("damp-block", "wet-block"),
    )
    first, second = found.entries
    assert (first.what, first.old_id, first.id) == (What.RENAMED, "windway-too-low", "slot-too-low")
    assert told(first) == ["title: “The windway is too low” → “The windway is much too low”"]
    assert (second.what, second.old_id) == (What.RENAMED, "damp-block")


def test_what_has_little_in_common_is_no_renamed_entry() -> None:
    found = changed(("knife", "scalpel"), ("title: Knife", "title: Long scalpel of the second sort"))
    assert {one.what for one in found.entries} >= {What.ADDED, What.WITHDRAWN}


def test_a_sign_that_became_a_symptom_is_the_same_entry() -> None:
    ruleset = read(WHISTLE)
    turned = replace(
        ruleset,
        findings=tuple(replace(one, is_sign=False) if one.is_sign else one for one in ruleset.findings),
    )
    entry = only(compare(ruleset, turned))
    assert told(entry) == ["kind: sign → symptom"]


def test_numbers_and_chances_are_written_as_authors_write_them() -> None:
    assert [number(3.0), number(0.05), chance(0.8, "usually"), chance(0.125)] == [
        "3",
        "0.05",
        "usually (0.80)",
        "0.125",
    ]


# -- nothing that the engine or a reader could notice is passed over ------------------------------------


def everything() -> Ruleset:
    """Give a ruleset in which every key of the format says something."""
    ruleset = studio()
    own, lip = SourceId("own"), ZoneId("lip")
    allow = (Allowance("missing-source", "So."),)
    more: dict[str, Any] = {"sources": (own,), "differs": (Dissent(own, "No."),), "allow": allow}
    findings = tuple(
        replace(one, zone=lip, help="Look.", tie=PlayedNote("D6", "p"), **more) for one in ruleset.findings
    )
    causes = tuple(replace(one, why="So.", zone=lip, **more) for one in ruleset.causes)
    operations = tuple(
        replace(
            one,
            why="So.",
            too_far="Oh.",
            caution="Mind.",
            zone=lip,
            tool=ToolId("knife"),
            recheck=(FindingId("windway-high"), FindingId("opening-wide")),
            unless=(FindingId("rails-thin"),),
            after=(RemedyId("retie"),),
            **more,
        )
        for one in ruleset.operations
    )
    return replace(
        ruleset,
        findings=findings,
        causes=causes,
        operations=operations,
        priorities=tuple(
            replace(one, ask="All well?", goal="So.", allow=allow) for one in ruleset.priorities
        ),
        tools=tuple(replace(one, allow=allow) for one in ruleset.tools),
        zones=(Zone(lip, "Lip", ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0)), 1, allow),),
        quantities=tuple(replace(one, allow=allow) for one in ruleset.quantities),
        thickness=tuple(replace(one, allow=allow) for one in ruleset.thickness),
        charts=tuple(replace(one, allow=allow) for one in ruleset.charts),
        sources=tuple(
            replace(one, author="A.", year="1999", place_in="p. 1", url="u", read="all")
            for one in ruleset.sources
        ),
    )


_NOT_MEANT = {"place", "digest", "word", "id", "words", "glossary"}
"""Places and digests are of the text; ids, words and glossary are tried by other tests."""


def mutants(value: Any, path: str = "Ruleset") -> Iterator[tuple[str, Any]]:
    """Give `value` with one thing in it changed, for each thing, with its class and field."""
    if is_dataclass(value) and not isinstance(value, type):
        for field in fields(value):
            if field.name in _NOT_MEANT:
                continue
            for name, other in mutants(getattr(value, field.name), f"{type(value).__name__}.{field.name}"):
                yield name, replace(value, **{field.name: other})
    elif isinstance(value, tuple):
        if value and not any(isinstance(item, float | Answer) for item in value):
            yield f"{path}[]", value[:-1]
        for at, item in enumerate(value):
            for name, other in mutants(item, path):
                yield name, (*value[:at], other, *value[at + 1 :])
    else:
        yield from ((path, other) for other in [_other(value)] if other is not None)


def _other(value: Any) -> Any:
    if isinstance(value, bool):
        return not value
    if isinstance(value, Enum):
        return next(one for one in type(value) if one is not value)
    if isinstance(value, str):
        return value + "x"
    return value + 1 if isinstance(value, int | float) else None


def test_every_field_of_the_model_is_compared() -> None:
    ruleset = everything()
    tried: Counter[str] = Counter()
    missed = set()
    for name, other in mutants(ruleset):
        tried[name] += 1
        if tried[name] > 2:
            continue  # a third link tells no more than two
        if compare(ruleset, other).is_same:
            missed.add(name)
    assert not missed
    wanted = {
        f"{kind.__name__}.{field.name}"
        for kind in (*_kinds(ruleset),)
        for field in fields(kind)
        if field.name not in _NOT_MEANT
    }
    never_none = {"AskStep.yes", "DoStep.then", "GivenRound.then", "GivenRound.sitting"}
    assert never_none <= tried.keys()
    assert wanted - {name.removesuffix("[]") for name in tried} <= {
        # These hold others, whose fields are tried.
        *("Ruleset.sitting", "Ruleset.stakes", "Finding.tie", "Finding.read", "Trial.expect"),
    }


def _kinds(value: Any) -> set[type]:
    found: set[type] = set()
    if is_dataclass(value) and not isinstance(value, type):
        found.add(type(value))
        for field in fields(value):
            if field.name not in _NOT_MEANT:
                found |= _kinds(getattr(value, field.name))
    elif isinstance(value, tuple):
        for item in value:
            found |= _kinds(item)
    return found


def test_worked_cases_are_compared_answer_by_answer() -> None:
    ruleset = studio()
    first = ruleset.trials[1]
    rounds = (
        first.rounds[0],
        GivenRound(
            given=((FindingId("middle-note-sags"), Answer.NO),), measure=first.rounds[1].measure, sitting=3
        ),
    )
    other = replace(ruleset, trials=(ruleset.trials[0], replace(first, rounds=rounds), *ruleset.trials[2:]))
    assert told(only(compare(ruleset, other))) == ["round 2 given middle-note-sags: slightly → no"]


def test_hundreds_of_new_and_lost_entries_are_compared_in_a_moment() -> None:
    ruleset = studio()
    base = ruleset.causes[0]
    many = [replace(base, id=CauseId(f"old-{n}"), title=f"Old {n} " * 40) for n in range(300)]
    other = [replace(base, id=CauseId(f"new-{n}"), title=f"New {n * 7} " * 40) for n in range(300)]
    found = compare(
        replace(ruleset, causes=(*ruleset.causes, *many)), replace(ruleset, causes=(*ruleset.causes, *other))
    )
    assert sum(one.what is What.ADDED for one in found.entries) == 300


def test_a_tool_and_a_priority_can_be_renamed_too() -> None:
    ruleset = read(WHISTLE)
    tools = tuple(
        Tool(ToolId("blade") if one.id == "knife" else one.id, one.title, one.hazard) for one in ruleset.tools
    )
    operations = tuple(
        replace(one, tool=ToolId("blade")) if one.tool == "knife" else one for one in ruleset.operations
    )
    entry = only(compare(ruleset, replace(ruleset, tools=tools, operations=operations)))
    assert (entry.what, entry.old_id, entry.id) == (What.RENAMED, "knife", "blade")
    assert isinstance(ruleset.priorities[0], Priority)


def test_worked_cases_that_share_a_title_are_each_compared() -> None:
    ruleset = read(WHISTLE)
    one = ruleset.trials[0]
    trials = (one, one, replace(one, title=f"{one.title} (2)"))
    twice = replace(ruleset, trials=trials)
    assert compare(twice, twice).is_same
    assert sum(entry.what is What.ADDED for entry in compare(ruleset, twice).entries) == 2
    other = replace(one, expect=replace(one.expect, step=("pare-windway",)))
    assert not compare(twice, replace(twice, trials=(one, other, trials[2]))).is_same
