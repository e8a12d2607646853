"""One slip is told once: at its place, without what only follows from it, and hiding nothing else."""

import pytest

from kb.load import load_bytes

RULES = """\
canebrake: 1
id: lamp
title: Mending a lamp
version: 1.0.0
sources: {own: {title: Workshop practice, kind: common practice}}
priorities:
  - {id: light, title: Light, goal: It is bright}
tools:
  knife: {title: Knife, hazard: blade}
quantities:
  gap: {title: Gap, unit: mm, limits: [0, 5], target: [1, 2]}
thickness:
  wick: {title: Wick, unit: mm, from: tip, lanes: [middle, edge], points: [{at: 10, lane: middle, target: 1}]}
symptoms:
  no-light: {priority: light, ask: Is it dark?, sources: [own]}
  flicker: {priority: light, ask: Does it flicker?, sources: [own]}
signs:
  gap-small: {ask: Is the gap small?, by: measure, read: {quantity: gap, below: 1}, sources: [own]}
  wick-thick: {ask: Thick?, read: {thickness: wick, lane: middle, between: [8, 12], above: target}, sources: [own]}
causes:
  blown-bulb: {title: The bulb is blown, how_common: rare, shows: {no-light: usually, gap-small: often, wick-thick: often}, sources: [own]}
remedies:
  change-bulb:
    {title: Change the bulb, do: Turn it out., tool: knife, caution: Let it cool., undo: never, cures: {blown-bulb: usually}, recheck: [no-light], sources: [own]}
charts:
  first: {title: First, start: look, steps: {look: {ask: no-light, yes: mend, no: end}, mend: {do: change-bulb, then: end}, end: {stop: ready}}}
"""  # noqa: E501  (a flow mapping a line, so that a slip is one replaced word)
LONE = ("symptom-without-cause", "flicker")
"""`flicker` is caused by nothing: told beside every slip that leaves it plain that it is so."""


def told(content: bytes) -> list[tuple[str, str]]:
    """Give each problem's check, and the text that it points at."""
    lines = content.decode("utf-8", "replace").split("\n")
    return [
        (
            str(problem.check),
            lines[problem.span.line - 1][problem.span.column - 1 : problem.span.end_column - 1],
        )
        for problem in load_bytes("lamp.yaml", content).problems
    ]


def told_with(old: str, new: str) -> list[tuple[str, str]]:
    assert RULES.count(old) == 1
    return told(RULES.replace(old, new).encode())


def test_the_rules_of_these_tests_have_one_fault_of_their_own() -> None:
    assert told(RULES.encode()) == [LONE]


@pytest.mark.parametrize(
    "old, new, check, at",
    [
        ("how_common: rare", "how_common: 0.6", "impossible-number", "0.6"),
        ("how_common: rare", "how_comon: rare", "unknown-key", "how_comon"),
        ("how_common: rare", "how_common: rare, colour: red", "unknown-key", "colour"),
        ("no-light: usually", "no-light: 1.5", "impossible-number", "1.5"),
        ("shows: {no-light", "shows: {no-lihgt", "unknown-reference", "no-lihgt"),
        ("title: The bulb is blown", "titel: The bulb is blown", "unknown-key", "titel"),
        ("below: 1}", "below: 9}", "impossible-number", "9"),
        ("{at: 10, lane: middle", "{at: 10, lane: midle", "unknown-reference", "midle"),
        ("yes: mend", "yes: mnd", "unknown-reference", "mnd"),
        ("{ask: no-light, yes", "{ask: no-lihgt, yes", "unknown-reference", "no-lihgt"),
        ("Let it cool.", "''", "missing-caution", "''"),
        ("Let it cool.", "' '", "missing-caution", "' '"),
        ("Let it cool.", "[]", "wrong-kind", "[]"),
        ("id: lamp", "id: ready", "reserved-id", "ready"),
        ("sources: {own", "withdraw: [ember]\nsources: {own", "unknown-reference", "ember"),
        ("{at: 10,", "{at: -10,", "impossible-number", "-10"),
        ("title: Mending a lamp", "title: '  '", "empty-text", "'  '"),
        ("  blown-bulb: {title", "  blown-bulb: {title: X, title", "duplicate-key", "title"),
    ],
)
def test_a_slip_is_told_once_and_hides_nothing(old: str, new: str, check: str, at: str) -> None:
    assert sorted(told_with(old, new)) == sorted([LONE, (check, at)])


def test_a_mistyped_allowance_is_told_and_not_what_it_should_allow() -> None:
    without = RULES.replace("recheck: [no-light], sources", "sources")
    assert told(without.encode()) == [LONE, ("remedy-without-recheck", "change-bulb")]
    allowed = without.replace(
        "cures: {blown-bulb: usually}",
        "allow: {remedy-without-rechek: Plain to see.}, cures: {blown-bulb: usually}",
    )
    assert told(allowed.encode()) == [LONE, ("unknown-reference", "remedy-without-rechek")]


def test_a_key_that_is_no_text_is_not_also_a_reserved_id() -> None:
    text = RULES.replace("  knife: {title", "  null: {title: Nothing, hazard: none}\n  knife: {title")
    assert told(text.encode()) == [("refused-yaml", "null"), LONE]


@pytest.mark.parametrize("word, meant", [("yes", "true"), ("on", "true"), ("no", "false"), ("off", "false")])
def test_a_word_that_older_yaml_took_for_a_truth_value_is_told_with_what_is_meant(
    word: str, meant: str
) -> None:
    text = RULES.replace("how_common: rare", f"how_common: rare, elsewhere: {word}")
    problem = load_bytes("lamp.yaml", text.encode()).problems[-1]
    assert (str(problem.check), problem.hint) == ("wrong-kind", f"write {meant}")


def test_of_a_ruleset_cut_in_two_documents_only_the_cut_is_told() -> None:
    assert told(RULES.replace("symptoms:", "---\nsymptoms:").encode()) == [("refused-yaml", "---")]


@pytest.mark.parametrize("brackets", [1_100, 100_000])
def test_thousands_of_brackets_are_nested_too_deep(brackets: int) -> None:
    assert [check for check, _ in told(b"[" * brackets)] == ["too-big"]


@pytest.mark.parametrize(
    "content", [RULES.encode("utf-16-le"), RULES.encode("utf-16-be"), b"\0" * 100, b"\x7fELF" + b"\0" * 60]
)
def test_what_is_no_text_is_told_once(content: bytes) -> None:
    assert [check for check, _ in told(content)] == ["not-utf8"]


def test_one_refused_letter_in_a_word_is_told_without_the_word_being_no_ruleset() -> None:
    assert told(b"lam\0p") == [("hidden-character", "\0")]
