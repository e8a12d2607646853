"""Edits of mangled text: a new draft or a sentence, never an exception, and never another meaning."""

import random

import pytest

from kb.edit import (
    Draft,
    added,
    appended,
    changed,
    entry_text,
    listing,
    mapping,
    renamed,
    scalar,
    with_entry_text,
    without,
)
from kb.edit.made import KeyPath
from kb.problem import Problem
from kb.value import Items, Value
from tests.support.running import ROOT

TEXTS = [
    (ROOT / path).read_text(encoding="utf-8")
    for path in ("tests/golden/penny-whistle-voicing.yaml", "tests/golden/penny-whistle-studio.yaml")
]
SHREDS = (
    "\n", "  ", "# c\n", ": ", "- ", "[", "]", "{", "}", ",", "'", '"', "? ", "|", "|+\n", ">-\n", "~", "\t",
    "\r\n", "a: b\n", "...", "---", "null", "!x", "&a", "*a", "é", "key:\n",
)  # fmt: skip
VALUES = (
    scalar("x: y"), scalar("two\nlines"), scalar(None), scalar(3), listing([]), listing(["a", "b: c"]),
    mapping([]), mapping([("k", listing(["v"]))]), scalar("word " * 40 + "end"), scalar(""),
)  # fmt: skip


def _paths(value: Value, path: KeyPath = ()) -> list[KeyPath]:
    inner: list[tuple[str | int, Value]] = [(pair.key, pair.value) for pair in value.pairs()]
    inner += enumerate(value.data.items) if isinstance(value.data, Items) else ()
    return [found for key, one in inner for found in ((*path, key), *_paths(one, (*path, key)))]


def _mangled(source: random.Random) -> str:
    text = source.choice(TEXTS)
    begin = source.randrange(len(text))
    text = text[begin : begin + source.randrange(50, 1200)]
    for _ in range(source.randrange(6)):
        at = source.randrange(len(text) + 1)
        text = text[:at] + source.choice(SHREDS) + text[at + source.randrange(3) :]
    return text


def _edited(source: random.Random, draft: Draft) -> Draft | Problem:
    path = source.choice(_paths(draft.tree) or [()])
    name = str(path[-1]) if path else "x"
    section = source.choice(("causes", "trials", "tools", "symptoms"))
    value = source.choice(VALUES)
    match source.randrange(6):
        case 0:
            return changed(draft, path, value)
        case 1:
            return added(draft, path, "new-key", value, before=source.choice((None, 0)))
        case 2:
            return appended(draft, path, value, before=source.choice((None, 0)))
        case 3:
            return without(draft, path)
        case 4:
            return renamed(draft, section, name, source.choice(("quite-new", "true")))
        case _:
            text = entry_text(draft, section, name)
            return with_entry_text(
                draft, section, name, text if isinstance(text, str) else f"# c\n{name}: {{a: 1}}"
            )


def _soak(seed: int, texts: int) -> tuple[int, int]:
    source = random.Random(seed)
    tried = refused = 0
    for _ in range(texts):
        draft = Draft.of("f.yaml", _mangled(source).encode())
        for _ in range(6 if isinstance(draft, Draft) else 0):
            assert isinstance(draft, Draft)
            result = _edited(source, draft)
            tried += 1
            refused += isinstance(result, Problem) and "cannot be made without" in result.message
    return tried, refused


def test_an_edit_of_mangled_text_never_raises_and_is_seldom_beyond_us() -> None:
    tried, refused = _soak(1, 1500)
    assert tried >= 200
    assert refused * 50 < tried


@pytest.mark.long
def test_many_edits_of_mangled_text_never_raise() -> None:
    tried, refused = _soak(2, 60_000)
    assert refused * 50 < tried
