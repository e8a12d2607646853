"""Whatever bytes a ruleset holds, loading gives problems with places, and never an exception.

A seeded sample runs with the suite; `pytest -m long` runs many times as much.
"""

import json
import random
import time
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.letters import HIDDEN
from kb.load import Loaded, beside, load_bytes
from kb.problem import has_errors
from tests.support.mutants import as_yaml, document, mutant

GOLDEN = Path(__file__).parents[1] / "golden"
RULESETS = [path.read_bytes() for path in sorted(GOLDEN.glob("penny-whistle-*.yaml"))]
SNIPPETS = (
    *(
        "null",
        "{}",
        "[]",
        "-1",
        "0",
        "1",
        "1.0",
        "1e400",
        ".nan",
        "0x1F",
        "99999999999999999999",
        "true",
        "''",
    ),
    *(
        "~",
        "*a",
        "&a ",
        "!!set ",
        "? ",
        ": ",
        "- ",
        "#",
        "'",
        '"',
        '"\\e"',
        "|\n",
        ">",
        "%YAML 1.1\n",
        "---\n",
    ),
    *(
        "\t",
        "\r",
        "\n",
        "\x00",
        "\x1b[31m",
        "\u202e",
        "\u2028",
        "\x85",
        "\ufeff",
        "{",
        "}",
        "[",
        "]",
        ",",
        "<<: ",
    ),
    *(
        "rest",
        "ready",
        "own",
        "tip",
        "always",
        "common",
        "target",
        "yes",
        "unsure",
        "windway-too-tall",
        "extends: ",
    ),
    *(
        "causes:\n",
        "withdraw: [own]\n",
        "shows: {x: 2}",
        "read: {quantity: x}",
        "rounds: [{}]",
        "polygon: [[0]]",
    ),
)


def judge(content: bytes) -> Loaded:
    loaded = load_bytes("some.yaml", content, beside(GOLDEN))
    assert (loaded.ruleset is None) == has_errors(loaded.problems)
    spans = [problem.span for problem in loaded.problems]
    assert spans == sorted(spans)
    for problem in loaded.problems:
        span = problem.span
        assert problem.message
        assert 1 <= span.line <= span.end_line
        assert (span.line, span.column) <= (span.end_line, span.end_column)
        assert not HIDDEN.search(problem.message + problem.hint), problem
        text = loaded.text_of(span.file)
        if text is not None:
            assert span.line <= len(text.lines)
            assert span.column <= len(text.lines[span.line - 1]) + 1
    return loaded


def swap(rng: random.Random, text: str) -> str:
    lines = text.splitlines(keepends=True)
    here, there = rng.randrange(len(lines)), rng.randrange(len(lines))
    lines[here], lines[there] = lines[there], lines[here]
    return "".join(lines)


def cut(rng: random.Random, text: str) -> str:
    at = rng.randrange(len(text))
    return text[:at] + text[at + rng.choice((1, 1, 2, 5, 20, 200)) :]


def put(rng: random.Random, text: str) -> str:
    at = rng.randrange(len(text))
    return text[:at] + rng.choice(SNIPPETS) + text[at:]


def replace_word(rng: random.Random, text: str) -> str:
    words = [word for word in text.split() if word]
    word = rng.choice(words)
    return text.replace(word, rng.choice((*SNIPPETS, rng.choice(words))), rng.choice((1, -1)))


CHANGES: tuple[Callable[[random.Random, str], str], ...] = (swap, cut, put, replace_word)


def trial(seed: int, rulesets: Sequence[bytes] = RULESETS) -> None:
    rng = random.Random(seed)
    text = rng.choice(rulesets).decode()
    for _ in range(rng.choice((1, 1, 2, 4))):
        text = rng.choice(CHANGES)(rng, text) or "x"
    content = text.encode("utf-8", "surrogatepass")
    if rng.random() < 0.1:
        at = rng.randrange(len(content))
        content = content[:at] + bytes([rng.randrange(256)]) + content[at + 1 :]
    began = time.process_time()
    judge(content)
    assert time.process_time() - began < 2


COMPACT = [
    b"""\
canebrake: 1
id: c
title: C
version: 1.0.0
sources: {own: {title: Own}}
priorities: [{id: p, title: P, ask: All well?}]
opening: [w]
tools: {k: {title: K, hazard: blade}}
zones: {z: {title: Z, polygon: [[0, 0], [1, 0], [0, 1]]}}
quantities: {q: {title: Q, unit: mm, limits: [0, 4], target: [1, 2]}}
thickness: {t: {lanes: [a], points: [{at: 1, lane: a, target: 0.5}]}}
symptoms:
  s: {priority: p, ask: Late?}  # why
signs:
  w: {ask: Wide?, read: {quantity: q, above: target}}
causes:
  x: {title: X, how_common: rare, shows: {s: often, w: 0.4}, zone: z, sources: [own]}
remedies:
  r: {title: R, do: Do., undo: never, tool: k, caution: Mind.,
    cures: {x: often}, unless: [w], recheck: [s], sources: [own]}
rests: {n: {title: N, do: Wait., new_sitting: true}}
charts: {h: {steps: {a: {ask: s, yes: b, no: d}, b: {do: r, then: d}, d: {stop: ready}}}}
trials: [{title: T, given: {s: yes}, expect: {cause: x, step: r}}]
"""
]
"""A ruleset with every section in a few words: twenty thousand of it cost what a thousand long ones do."""


@pytest.mark.parametrize("block", range(8))
def test_twenty_thousand_small_changed_rulesets_are_judged_in_order_and_never_raise(block: int) -> None:
    for seed in range(block * 2_500, block * 2_500 + 2_500):
        trial(seed, COMPACT)


DOCUMENTS = [document(content) for content in RULESETS]


def mutate(seed: int) -> None:
    judge(as_yaml(mutant(random.Random(seed), DOCUMENTS[seed % len(DOCUMENTS)])))


@pytest.mark.parametrize("block", range(4))
def test_a_ruleset_with_other_values_is_judged_and_never_raises(block: int) -> None:
    for seed in range(block * 50, block * 50 + 50):
        mutate(seed)


@pytest.mark.parametrize("block", range(8))
def test_a_changed_ruleset_is_judged_and_never_raises(block: int) -> None:
    for seed in range(block * 50, block * 50 + 50):
        trial(seed)


@pytest.mark.long
@pytest.mark.parametrize("block", range(10))
def test_two_hundred_thousand_changed_rulesets_are_judged_in_order_and_never_raise(block: int) -> None:
    begin = 1_000_000 + block * 20_000
    for seed in range(begin, begin + 2_000):
        mutate(seed)
    for seed in range(begin + 2_000, begin + 8_000):
        trial(seed)
    for seed in range(begin + 8_000, begin + 20_000):
        trial(seed, COMPACT)


@settings(max_examples=200, deadline=None, derandomize=True)
@given(st.binary(max_size=200))
def test_any_bytes_are_judged_and_never_raise(content: bytes) -> None:
    judge(content)


@settings(max_examples=200, deadline=None, derandomize=True)
@given(st.text(alphabet="ab:-?[]{},&*!|>'\"%@# \n\t0.1~", max_size=60))
def test_any_text_of_yaml_signs_is_judged_and_never_raises(text: str) -> None:
    judge(text.encode())


TREES = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-5, 5)
    | st.floats(allow_nan=False, width=16)
    | st.sampled_from(SNIPPETS[:13]),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(["id", "title", "causes", "shows", "given", "x", "read", "steps", "ask"]),
            inner,
            max_size=4,
        )
    ),
    max_leaves=12,
)
SECTIONS = (
    *(
        "priorities",
        "symptoms",
        "signs",
        "causes",
        "remedies",
        "rests",
        "charts",
        "trials",
        "words",
        "extends",
    ),
    *(
        "withdraw",
        "opening",
        "tools",
        "zones",
        "quantities",
        "thickness",
        "sources",
        "glossary",
        "stakes",
        "sitting",
    ),
)


@settings(max_examples=300, deadline=None, derandomize=True)
@given(st.sampled_from(SECTIONS), TREES, st.sampled_from(RULESETS))
def test_any_value_in_any_section_is_judged_and_never_raises(
    section: str, tree: object, ruleset: bytes
) -> None:
    kept = ruleset.decode().replace(f"\n{section}:", f"\n{section}-away:")
    judge(f"{kept}\n{section}: {json.dumps(tree)}\n".encode())


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"\x00" * 1000,
        b"\xff\xfe" + "canebrake: 1".encode("utf-16-le"),
        "title: Für".encode("latin-1"),
        b"[" * (10 * 1024 * 1024),
        b"[" * 100_000,
        b"{a: " * 30 + b"1" + b"}" * 30,
        b"a: " + b"9" * 5000,
        b"? " * 1000,
        b"- " * 1000,
        b"\x7fELF\x02\x01\x01" + bytes(range(256)) * 20,
        b"a: &a [x, x]\nb: &b [*a, *a]\nc: &c [*b, *b]\nd: [*c, *c]\n",
        b"\n".join(b"k%d: %d" % (n % 7, n) for n in range(5000)),
        b"causes: {" + b", ".join(b"Bad_%d: {}" % n for n in range(2000)) + b"}",
        b"canebrake: 1\nextends: {file: ../../etc/passwd}",
        b"canebrake: 1\nextends: {file: penny-whistle-studio.yaml}\nwithdraw: [nothing, [1], {}]",
    ],
    ids=lambda content: str(content[:12]),
)
def test_hostile_bytes_give_an_error(content: bytes) -> None:
    loaded = judge(content)
    assert loaded.ruleset is None
    assert len(loaded.problems) <= 3000


MANY = 5_000
HEAD = "canebrake: 1\nid: a\ntitle: A\nversion: 1.0.0\npriorities: [{id: p}]\n"
BARE = "symptoms: {s: {priority: p, ask: A}}\ncauses: {}\nremedies: {}\n"


@pytest.mark.parametrize(
    "text",
    [
        HEAD
        + "symptoms: {}\nremedies: {}\ncauses:\n"
        + "".join(f"  c{n}: {{title: 3}}\n" for n in range(MANY)),
        HEAD + BARE + "".join(f"k{n}: 1\n" for n in range(MANY)),
        HEAD
        + BARE
        + "trials:\n"
        + "".join(f"  - {{title: T, expect: {{cause: x{n}}}}}\n" for n in range(MANY)),
        HEAD
        + BARE
        + "charts: {c: {steps: {"
        + ", ".join(f"a{n}: {{ask: s, yes: a{n + 1}, no: a{n}}}" for n in range(MANY))
        + "}}}\n",
        HEAD
        + "symptoms: {}\ncauses: {}\nremedies:\n"
        + "".join(
            f"  r{n}: {{title: T, do: D, undo: fully, cures: {{}}, after: [r{(n + 1) % MANY}]}}\n"
            for n in range(MANY)
        ),
    ],
    ids=["values", "keys", "names", "chart", "loop"],
)
def test_a_file_of_thousands_of_faults_is_judged_without_doing_the_same_work_again_and_again(
    text: str,
) -> None:
    began = time.process_time()
    judge(text.encode())
    # Work that grows with the square of the file took over a minute here, this takes about a second.
    assert time.process_time() - began < 20
