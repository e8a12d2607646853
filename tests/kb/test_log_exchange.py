"""The log as JSON Lines: what goes out comes in again, once and whole, or not at all."""

import json
from collections.abc import Iterator
from dataclasses import replace
from hashlib import sha256
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.ids import FindingId, RulesetId
from kb.load import digest
from kb.log.codec import from_line, to_line
from kb.log.entry import (
    Answered,
    Entry,
    EntryId,
    ReedId,
    ReedMade,
    Remarked,
    RulesetMark,
    SittingOpened,
    TakenBack,
    What,
)
from kb.log.exchange import absorb_lines, to_lines
from kb.log.fault import LogError
from kb.log.kept import Absorbed
from kb.log.store import ReedLog
from kb.model import Answer
from kb.text import SourceText

TEXT = "canebrake: 1\nid: ein-blatt  # ♭\n"
MARK = RulesetMark(RulesetId("one"), "1.0.0", sha256(TEXT.encode()).hexdigest())
BASED = RulesetMark(
    RulesetId("two"), "1.0.0", digest([SourceText.of("two", "id: two\n"), SourceText.of("base", TEXT)])
)
WHATS: tuple[What, ...] = (
    ReedMade("Grünes Band", "Kerbe"),
    SittingOpened(1, 20.5),
    Answered(FindingId("sags"), Answer.YES),
    TakenBack(EntryId("e2")),
    Remarked("two\nlines, “quoted”, \u2028 and odd"),
)


def entries(mark: RulesetMark | None = MARK) -> tuple[Entry, ...]:
    return tuple(Entry(EntryId(f"e{n}"), ReedId("r"), f"t{n}", mark, what) for n, what in enumerate(WHATS))


@pytest.fixture
def full(tmp_path: Path) -> Iterator[ReedLog]:
    with ReedLog.open(tmp_path / "full.db") as log:
        log.keep_ruleset(MARK, TEXT)
        log.keep_ruleset(BASED, "id: two\n", ("base", TEXT))
        log.append(*entries())
        yield log


@pytest.fixture
def empty(tmp_path: Path) -> Iterator[ReedLog]:
    with ReedLog.open(tmp_path / "empty.db") as log:
        yield log


def test_an_exported_log_comes_in_whole(full: ReedLog, empty: ReedLog) -> None:
    assert absorb_lines(empty, to_lines(full)) == Absorbed(5, 0)
    assert tuple(empty.entries()) == tuple(full.entries())
    assert empty.ruleset_text(MARK.digest) == TEXT
    assert empty.ruleset_bases(BASED.digest) == (("base", TEXT),)
    assert sorted(to_lines(empty)) == sorted(to_lines(full))
    assert empty.faults() == ()


def test_taking_the_same_lines_in_twice_doubles_nothing(full: ReedLog, empty: ReedLog) -> None:
    absorb_lines(empty, to_lines(full))
    assert absorb_lines(empty, to_lines(full)) == Absorbed(0, 5)
    assert absorb_lines(full, to_lines(full)) == Absorbed(0, 5)
    assert empty.count() == 5


def test_two_logs_that_share_a_part_become_one(full: ReedLog, empty: ReedLog) -> None:
    own = Entry(EntryId("own"), ReedId("s"), "t", None, ReedMade("mine"))
    empty.append(own, entries()[0])
    assert absorb_lines(empty, to_lines(full)) == Absorbed(4, 1)
    assert {entry.id for entry in empty.entries()} == {"own", "e0", "e1", "e2", "e3", "e4"}


def test_every_line_is_one_line(full: ReedLog) -> None:
    assert all("\n" not in line for line in to_lines(full))


def refused(log: ReedLog, lines: list[str], part: str) -> None:
    with pytest.raises(LogError, match=part):
        absorb_lines(log, lines)
    assert log.count() == 0


def test_lines_that_are_no_export_are_refused_and_nothing_is_taken_in(full: ReedLog, empty: ReedLog) -> None:
    good = list(to_lines(full))
    refused(empty, [], "nothing in it")
    refused(empty, good[1:], "Line 1: It is no export")
    refused(empty, ["[]"], "no export")
    refused(empty, ['{"canebrake-log":3}'], "newer canebrake")
    refused(empty, [*good, "{"], f"Line {len(good) + 1}: A line of the export is not an entry")
    refused(empty, [*good[:-1], good[-1][: len(good[-1]) // 2]], "not an entry")
    refused(empty, [*good, to_line(entries()[0]).replace('"made"', '"photo"')], "'photo'")
    refused(empty, [*good, '{"entry":1}'], "damaged")
    refused(
        empty, [good[0], good[1].replace("ein-blatt", "zwei-blatt"), *good[2:]], "not the one that its digest"
    )
    refused(empty, [good[0], '{"kept":[1,2]}'], "damaged")
    refused(empty, [good[0], '{"kept":["a","b","c"],"texts":[]}'], "damaged")


def test_an_entry_that_says_something_else_under_the_same_id_stops_it_all(
    full: ReedLog, empty: ReedLog
) -> None:
    other = replace(entries()[4], what=Remarked("forged"))
    empty.append(other)
    with pytest.raises(LogError, match="says something else there; nothing was taken in"):
        absorb_lines(empty, to_lines(full))
    assert tuple(empty.entries()) == (other,)


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(st.characters()) | st.just(10**400),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(st.sampled_from(["name", "blade_up", "number", "value", "finding", "text"]), inner)
    ),
    max_leaves=8,
)


@given(
    st.sampled_from(["made", "sitting", "reading", "answer", "overview", "remark", "rest", "pinned", "new"]),
    JSON,
)
def test_no_line_from_elsewhere_comes_in_half_or_fails_otherwise(kind: str, body: object) -> None:
    line = json.dumps({"entry": "e", "reed": "r", "at": "t", "ruleset": None, "kind": kind, "body": body})
    try:
        entry = from_line(line)
    except LogError:
        return
    assert from_line(to_line(entry)) == entry
    to_line(entry).encode()


@pytest.mark.parametrize(
    "line",
    [
        '{"entry":"\\ud800","reed":"r","at":"t","kind":"remark","body":{"text":"x"}}',
        '{"entry":"e","reed":"r","at":"t","kind":"remark","body":{"text":"\\ud800"}}',
        '{"entry":"e","reed":"r","at":"t","kind":"reading","body":{"quantity":"q","value":1e999}}',
        '{"entry":"e","reed":"r","at":"t","ruleset":["a"],"kind":"remark","body":{"text":"x"}}',
        '{"entry":"e","reed":"r","at":"t","kind":"overview","body":{"priority":"p","fine":true,"clear":[1]}}',
    ],
)
def test_a_line_that_no_log_wrote_is_refused(line: str) -> None:
    with pytest.raises(LogError):
        from_line(line)
