"""The reader: YAML 1.2 core schema, places, limits, refusals."""

import json
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.disk import LIMIT
from kb.letters import decode
from kb.load import load_bytes
from kb.problem import Problem
from kb.source import DEEPEST, MOST, read
from kb.text import SourceText, Span
from kb.value import Items, Pairs, Value

ROOT = Path(__file__).parents[2]


def parsed(text: str) -> Value:
    found = read(SourceText.of("some.yaml", text))
    assert found.problems == ()
    assert found.tree is not None
    return found.tree


def problems(content: bytes) -> tuple[Problem, ...]:
    source, faults = decode("some.yaml", content)
    return faults if source is None else (*faults, *read(source).problems)


def told(content: bytes) -> list[tuple[str, int, int, int]]:
    """Give check, line, column and width of each problem."""
    return [(str(p.check), p.span.line, p.span.column, p.span.end_column) for p in problems(content)]


# The table of YAML 1.2.2, section 10.3.2 (core schema), and words that YAML 1.1 took for other things.
@pytest.mark.parametrize(
    "written, meant",
    [
        *(("null", None), ("Null", None), ("NULL", None), ("~", None), ("", None)),
        *(
            ("true", True),
            ("True", True),
            ("TRUE", True),
            ("false", False),
            ("False", False),
            ("FALSE", False),
        ),
        *(("0", 0), ("-12", -12), ("+12", 12), ("0o14", 12), ("0xFf", 255), ("017", 17)),
        *(("0.", 0.0), (".5", 0.5), ("-0.0", 0.0), ("12e03", 12000.0), ("-2E+05", -200000.0), ("+1.5", 1.5)),
        *(
            (word, word)
            for word in ("yes", "no", "on", "off", "y", "n", "Yes", "nULL", "tRUE", "1:30", "12:30:45")
        ),
        *(
            (word, word)
            for word in ("2024-01-02", "1_000", "0b11", "1.0.0", "0o8", "0xG", "e3", ".", "-", "+", "1e")
        ),
    ],
)
def test_a_plain_word_means_what_the_core_schema_says(written: str, meant: object) -> None:
    tree = parsed(f"key: {written}" if written != "-" else "key: '-'")
    found = tree["key"].data
    assert found == meant
    assert type(found) is type(meant)


@pytest.mark.parametrize("written", ["'12'", '"true"', "'null'", '"1.0"', "|-\n  12", ">-\n  12"])
def test_a_quoted_or_block_text_is_always_text(written: str) -> None:
    assert isinstance(parsed(f"key: {written}")["key"].data, str)


@pytest.mark.parametrize(
    "written",
    [".inf", "-.INF", "+.Inf", ".nan", ".NaN", "1e400", "9" * 19, "0x" + "f" * 19, "-" + "1" * 5000],
)
def test_a_number_that_no_measure_has_is_refused_at_its_place(written: str) -> None:
    assert told(f"a: 1\nkey: {written}\n".encode()) == [("impossible-number", 2, 6, 6 + len(written))]


def test_eighteen_digits_are_still_a_number() -> None:
    assert parsed("key: " + "9" * 18)["key"].data == 999_999_999_999_999_999


@pytest.mark.parametrize(
    "content, expected",
    [
        (b"a: &x 1", [("refused-yaml", 1, 4, 6)]),
        (b"a: 1\nb: *x", [("refused-yaml", 2, 4, 6)]),
        (b"a: !!str 1", [("refused-yaml", 1, 4, 9)]),
        (b"a: !mine {}", [("refused-yaml", 1, 4, 9)]),
        (b"&x a: 1", [("refused-yaml", 1, 1, 3)]),
        (b"a: 1\n---\nb: 1", [("refused-yaml", 2, 1, 4)]),
        (b"%TAG ! tag:x,2000:\n---\na: 1", [("refused-yaml", 1, 1, 1)]),
        (b"%YAML 1.1\n---\na: 1", [("refused-yaml", 1, 1, 4)]),
        (b"1: a", [("refused-yaml", 1, 1, 2)]),
        (b"null: a", [("refused-yaml", 1, 1, 5)]),
        (b"{true: a}", [("refused-yaml", 1, 2, 6)]),
        (b"? [a]\n: b", [("refused-yaml", 1, 3, 6)]),
        (b"{[a]: b}", [("refused-yaml", 1, 2, 5)]),
        (b"a: 1\nb: 2\na: 3\nb: 4", [("duplicate-key", 3, 1, 2), ("duplicate-key", 4, 1, 2)]),
        (b"{a: 1, 'a': 2}", [("duplicate-key", 1, 8, 11)]),
    ],
    ids=lambda value: value.decode() if isinstance(value, bytes) else "",
)
def test_what_a_ruleset_has_no_use_for_is_refused_where_it_stands(
    content: bytes, expected: list[tuple[str, int, int, int]]
) -> None:
    found = told(content)
    assert [row[:2] for row in found] == [row[:2] for row in expected]
    if expected[0][3] > 1:
        assert found == expected


def test_yaml_1_2_may_say_so() -> None:
    assert told(b"%YAML 1.2\n---\na: 1") == []


def test_of_two_equal_keys_the_first_is_kept_and_reading_goes_on() -> None:
    found = read(SourceText.of("f", "a: 1\na: 2\nb: &x 3"))
    assert found.tree is not None
    assert found.tree["a"].data == 1
    assert [str(problem.check) for problem in found.problems] == ["duplicate-key", "refused-yaml"]


@pytest.mark.parametrize(
    "sign",
    [
        "\x00",
        "\x07",
        "\x1b",
        "\x7f",
        "\x85",
        "\x9b",
        "\u2028",
        "\u2029",
        "\u202e",
        "\u2066",
        "\u200f",
        "\ufeff",
    ],
)
def test_a_hidden_character_is_refused_at_its_place(sign: str) -> None:
    assert told(f"a: ö1\nb: [x, y{sign}z]\n".encode()) == [("hidden-character", 2, 9, 10)]


@pytest.mark.parametrize(
    "escape",
    [
        r"\0",
        r"\a",
        r"\b",
        r"\v",
        r"\f",
        r"\e",
        r"\N",
        r"\L",
        r"\P",
        r"\x1b",
        r"\x9B",
        r"\u202E",
        r"\U0000feff",
    ],
)
def test_a_hidden_character_made_by_an_escape_is_refused_at_the_escape(escape: str) -> None:
    text = f'a: 1\nb: "one \\\\ two\n  three {escape} four"\n'
    assert told(text.encode()) == [("hidden-character", 3, 9, 9 + len(escape))]


@pytest.mark.parametrize(
    "escape", [r"\t", r"\n", r"\r", r"\"", r"\\", r"\/", r"\_", r"\x41", r"\u00e4", r"\ "]
)
def test_other_escapes_are_letters_like_any(escape: str) -> None:
    assert told(f'a: "one {escape} two"'.encode()) == []


def test_a_binary_file_gets_fifty_problems_and_a_count() -> None:
    found = problems(b"\x01" * 1000)
    assert len([problem for problem in found if problem.check == "hidden-character"]) == 50
    assert any("950 more" in problem.message for problem in found)


def test_a_byte_order_mark_is_skipped_and_shifts_no_column() -> None:
    source, faults = decode("f", b"\xef\xbb\xbfa: 1")
    assert faults == ()
    assert source is not None
    assert read(source).tree == read(SourceText.of("f", "a: 1")).tree


@pytest.mark.parametrize(
    "content, line, column",
    [
        ("für: 1".encode("latin-1"), 1, 2),
        ("a: 1\nä: ü".encode() + b"\xfc", 2, 5),
        ("a: 1".encode("utf-16"), 1, 1),
    ],
)
def test_bytes_that_are_not_utf8_are_said_at_their_place(content: bytes, line: int, column: int) -> None:
    assert [row[:3] for row in told(content)] == [("not-utf8", line, column)]


def test_a_file_over_the_limit_is_not_read() -> None:
    assert [row[0] for row in told(b" " * (LIMIT + 1))] == ["too-big"]
    assert [row[0] for row in told(b"#" + b" " * (LIMIT - 1))] == ["empty-file"]


def test_forty_deep_is_read_and_deeper_is_not() -> None:
    assert told(b"[" * DEEPEST + b"]" * DEEPEST) == []
    assert told(b"[" * 41 + b"]" * 41) == [("too-big", 1, 41, 42)]
    assert told(b"a: " + b"{a: " * 41) == [("too-big", 1, 160, 161)]


def test_more_values_than_any_ruleset_has_are_not_read(monkeypatch: pytest.MonkeyPatch) -> None:
    assert MOST == 500_000
    monkeypatch.setattr("kb.source.MOST", 1000)  # half a million take their time
    assert told(b"[" + b"1," * 999 + b"]") == []  # the list itself is one of them
    assert [row[0] for row in told(b"[" + b"1," * 1000 + b"]")] == ["too-big"]


def test_broken_yaml_is_said_where_it_breaks() -> None:
    assert [row[:3] for row in told(b"a: {b: c\nd: e")] == [("broken-yaml", 1, 4)]
    assert [row[:3] for row in told(b"a: b: c")] == [("broken-yaml", 1, 5)]
    assert [row[:3] for row in told(b"a:\n\tb: 1")] == [("broken-yaml", 2, 1)]
    assert [row[:3] for row in told(b"a: 'x")] == [("broken-yaml", 1, 6)]


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_lines_are_counted_alike_with_every_line_end(end: str) -> None:
    tree = parsed(end.join(["a: 1", "b:", "  - x", "  - y", "c: 2", ""]))
    assert tree["b"].items()[1].span == Span("some.yaml", 4, 5, 4, 6)
    assert tree["c"].span == Span("some.yaml", 5, 4, 5, 5)


def cut_out(source: SourceText, span: Span) -> str:
    lines = source.lines[span.line - 1 : span.end_line]
    if len(lines) == 1:
        return lines[0][span.column - 1 : span.end_column - 1]
    return "\n".join((lines[0][span.column - 1 :], *lines[1:-1], lines[-1][: span.end_column - 1]))


def spans_hold(source: SourceText, value: Value) -> None:
    """Every span, cut out and read on its own, says again what it claims."""
    text = cut_out(source, value.span)
    shifted = " " * (value.span.column - 1) + text
    again = read(SourceText.of("cut", shifted)).tree
    assert bare(again) == bare(value), text
    for pair in value.pairs():
        assert bare(read(SourceText.of("cut", cut_out(source, pair.key_span))).tree) == pair.key
        spans_hold(source, pair.value)
    if isinstance(value.data, Items):
        for item in value.data.items:
            spans_hold(source, item)


def bare(value: Value | None) -> object:
    if value is None:
        return None
    if isinstance(value.data, Pairs):
        return {pair.key: bare(pair.value) for pair in value.data}
    if isinstance(value.data, Items):
        return [bare(item) for item in value.data.items]
    return value.data


SOUND = sorted((ROOT / "tests/golden").glob("*.yaml")) + sorted((ROOT / "rulesets").glob("*.yaml"))


@pytest.mark.parametrize("path", SOUND, ids=lambda path: path.stem)
def test_every_span_of_a_ruleset_cuts_out_the_text_that_it_claims(path: Path) -> None:
    source, _ = decode(path.name, path.read_bytes())
    assert source is not None
    tree = read(source).tree
    assert tree is not None
    spans_hold(source, tree)


WORDS = st.text(alphabet="abcä  '\"#:-?,.[]{}0", min_size=1, max_size=12)


def written(value: object, indent: int) -> str:
    """Write a value as YAML: in blocks down to three levels, in brackets below."""
    pad = "\n" + " " * indent
    if isinstance(value, dict) and value and indent < 6:
        return "".join(f"{pad}{quoted(key)}:{after(inner, indent)}" for key, inner in value.items())
    if isinstance(value, list) and value and indent < 6:
        return "".join(f"{pad}-{after(inner, indent)}" for inner in value)
    return flow(value)


def after(value: object, indent: int) -> str:
    text = written(value, indent + 2)
    return text if text.startswith("\n") else " " + text


def flow(value: object) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f"{quoted(key)}: {flow(inner)}" for key, inner in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(flow(inner) for inner in value) + "]"
    return quoted(value) if isinstance(value, str) else json.dumps(value)


def quoted(text: str) -> str:
    if text.isalpha() and text not in {"null", "true", "false"}:
        return text
    if len(text) % 2:
        return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'
    return "'" + text.replace("'", "''") + "'"


DOCUMENTS = st.dictionaries(
    WORDS,
    st.recursive(
        WORDS | st.integers(2, 99) | st.none() | st.booleans(),
        lambda inner: st.lists(inner, max_size=3) | st.dictionaries(WORDS, inner, max_size=3),
        max_leaves=8,
    ),
    min_size=1,
    max_size=4,
)


@settings(max_examples=150, deadline=None, derandomize=True)
@given(DOCUMENTS)
def test_what_was_written_is_read_and_every_span_cuts_it_out(document: dict[str, object]) -> None:
    source = SourceText.of("made", written(document, 0).lstrip("\n") + "\n")
    tree = read(source).tree
    assert bare(tree) == document, source.text
    assert tree is not None
    spans_hold(source, tree)


def test_a_problem_is_told_once_though_later_stages_see_it_too() -> None:
    content = b"canebrake: 1\nid: a\ntitle: .inf\nversion: 1.0.0\npriorities: []\n"
    content += b"symptoms: {}\ncauses: {}\nremedies: {}\n"
    assert [str(problem.check) for problem in load_bytes("f", content).problems] == ["impossible-number"]
