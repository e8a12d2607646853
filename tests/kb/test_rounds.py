"""A rounds file: what design.md promises of it, and every way to get it wrong said in a sentence."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.ids import CauseId, FindingId, PriorityId, QuantityId, RemedyId, RulesetId
from kb.model import Answer, Cause, Finding, GivenRound, Priority, Quantity, Remedy, Ruleset
from kb.rounds import answer_for, read_rounds, reading_for

RULES = Ruleset(
    RulesetId("penny-whistle-voicing"),
    "Voicing",
    "1.0.0",
    priorities=(Priority(PriorityId("response"), "Response"),),
    findings=(
        Finding(FindingId("low-notes-break"), "Low notes break", "?", priority=PriorityId("response")),
        Finding(FindingId("windway-high"), "Windway high", "?", is_sign=True),
    ),
    causes=(Cause(CauseId("tall"), "Tall", 0.1),),
    operations=(
        Remedy(RemedyId("shim"), "Shim", "Shim."),
        Remedy(RemedyId("overnight"), "Overnight", "Wait.", is_rest=True, new_sitting=True),
    ),
    quantities=(Quantity(QuantityId("windway-height"), "Windway height", "mm", (0.3, 4.0)),),
)


def problems_of(document: object) -> tuple[str, ...]:
    text = document if isinstance(document, str) else json.dumps(document)
    read = read_rounds(RULES, text.encode())
    assert not (read.rounds and read.problems)
    return read.problems


def test_a_file_with_everything_in_it_is_read() -> None:
    text = """[
      {"given": {"low-notes-break": "yes", "windway-high": "slightly"}, "then": "shim"},
      {"given": {}, "measure": {"windway-height": 1}, "then": null, "sitting": 1},
      {"given": {"low-notes-break": "unsure"}, "then": "overnight"},
      {"given": {"low-notes-break": "no"}, "sitting": 3}
    ]"""
    low, high = FindingId("low-notes-break"), FindingId("windway-high")
    assert read_rounds(RULES, text.encode()).problems == ()
    assert read_rounds(RULES, text.encode()).rounds == (
        GivenRound(((low, Answer.YES), (high, Answer.SLIGHTLY)), then=RemedyId("shim")),
        GivenRound((), ((QuantityId("windway-height"), 1.0),), None, 1),
        GivenRound(((low, Answer.UNSURE),), then=RemedyId("overnight")),
        GivenRound(((low, Answer.NO),), sitting=3),
    )


def test_a_byte_order_mark_and_an_empty_list_are_taken() -> None:
    assert read_rounds(RULES, b"\xef\xbb\xbf[]").problems == ()
    assert read_rounds(RULES, b"[]").rounds == ()


@pytest.mark.parametrize(
    "document, part",
    [
        ("", "not JSON: line 1, column 1"),
        ("[{,]", "not JSON"),
        ("{}", "must be a list of rounds"),
        ("3", "must be a list of rounds"),
        ("[" * 100_000, "nested too deeply"),
        ("[" + "9" * 5000 + "]", "number too long"),
        ("[[]]", "round 1: it must be an object"),
        ([{}], 'round 1: "given" is missing'),
        ([{"given": []}], '"given" must be an object'),
        (
            [{"given": {"low-note-breaks": "yes"}}],
            "no finding is called 'low-note-breaks'; did you mean 'low-notes-break'?",
        ),
        (
            [{"given": {"low-notes-break": "maybe"}}],
            "'maybe' is no answer to low-notes-break: say yes, slightly, no or unsure",
        ),
        ([{"given": {"low-notes-break": True}}], "'true' is no answer"),
        ('[{"given": {"windway-high": "yes", "windway-high": "no"}}]', "'windway-high' stands there twice"),
        ('[{"given": {}, "given": {}}]', "'given' stands there twice"),
        ([{"given": {}, "measured": {}}], "no part of a round is called 'measured'; did you mean 'measure'?"),
        ([{"given": {}, "measure": {"windway-hight": 1}}], "did you mean 'windway-height'?"),
        (
            [{"given": {}, "measure": {"windway-height": 4.5}}],
            "cannot be 4.5 mm: it lies between 0.3 and 4 mm",
        ),
        ([{"given": {}, "measure": {"windway-height": "1"}}], "needs a number"),
        ([{"given": {}, "measure": {"windway-height": True}}], "needs a number, not true"),
        ('[{"given": {}, "measure": {"windway-height": NaN}}]', "needs a number"),
        ('[{"given": {}, "measure": {"windway-height": 1e999}}]', "needs a number"),
        ([{"given": {}, "measure": {"windway-height": 10**400}}], "needs a number"),
        ([{"given": {}, "then": "shimm"}], "no remedy or rest is called 'shimm'; did you mean 'shim'?"),
        ([{"given": {}, "then": 3}], '"then" must be the id'),
        ([{"given": {}, "sitting": 0}], '"sitting" must be a whole number'),
        ([{"given": {}, "sitting": 1.5}], '"sitting" must be a whole number'),
        ([{"given": {}, "sitting": True}], '"sitting" must be a whole number'),
        (
            [{"given": {}, "sitting": 3}, {"given": {}, "sitting": 2}],
            "round 2: sitting 2 comes after sitting 3",
        ),
        ([{"given": {}}] * 1001, "more than 1000 rounds"),
    ],
)
def test_every_mistake_is_a_sentence(document: object, part: str) -> None:
    found = problems_of(document)
    assert any(part in sentence for sentence in found), found


def test_all_mistakes_are_told_at_once_and_where_they_are() -> None:
    found = problems_of([{"given": {"a": "yes"}}, {"given": {"windway-high": "x"}, "then": "y"}])
    assert [sentence.partition(":")[0] for sentence in found] == ["round 1", "round 2", "round 2"]


def test_bytes_that_are_not_utf_8_and_files_too_large_are_said() -> None:
    assert "not UTF-8" in read_rounds(RULES, b"[\xe4]").problems[0]
    assert "larger than 8 MiB" in read_rounds(RULES, b" " * (8 * 1024 * 1024 + 1)).problems[0]


def test_hidden_characters_of_a_file_do_not_reach_the_message() -> None:
    [sentence] = problems_of([{"given": {"\x1b[31mred\u202e": "yes"}}])
    assert "\x1b" not in sentence
    assert "\u202e" not in sentence


@given(st.binary(max_size=200))
def test_no_bytes_make_the_reader_fail(content: bytes) -> None:
    read = read_rounds(RULES, content)
    assert read.problems or content.strip(b"\xef\xbb\xbf \t\r\n").startswith(b"[")


ANYTHING = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.sampled_from(["yes", "shim", "given", "sitting"]),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(["given", "measure", "then", "windway-high", "windway-height"]), inner
        )
    ),
    max_leaves=12,
)


@given(ANYTHING)
def test_no_json_makes_the_reader_fail(document: object) -> None:
    problems_of(document)


def test_single_answers_and_readings_are_checked_alike() -> None:
    assert answer_for(RULES, "windway-high", "no") == ("windway-high", Answer.NO)
    assert "did you mean" in str(answer_for(RULES, "windway-hig", "no"))
    assert reading_for(RULES, "windway-height", 2) == ("windway-height", 2.0)
    assert "lies between" in str(reading_for(RULES, "windway-height", 9))
