"""An edit means what was asked for and nothing else, and leaves every other letter where it was."""

import random
import re
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.edit import (
    Draft,
    added,
    appended,
    changed,
    entry_text,
    listing,
    mapping,
    renamed,
    same,
    scalar,
    with_entry,
    with_entry_text,
    without,
)
from kb.edit.made import KeyPath, at
from kb.problem import Problem
from kb.value import Items, Pairs, Value
from tests.support.layouts import COMMENT, Writer, document_of
from tests.support.strategies import LAW, SMALL, Chooser, Drawn, Seeded, make_ruleset, pick

Plain = Any


def _plain(value: Value) -> Plain:
    match value.data:
        case Pairs(pairs=pairs):
            return {pair.key: _plain(pair.value) for pair in pairs}
        case Items(items=items):
            return [_plain(item) for item in items]
        case data:
            return data


def _value(plain: Plain) -> Value:
    if isinstance(plain, dict):
        return mapping((key, _value(one)) for key, one in plain.items())
    return listing(map(_value, plain)) if isinstance(plain, list) else scalar(plain)


def _drafted(choose: Chooser) -> tuple[Draft, Plain]:
    plain = document_of(choose, make_ruleset(choose, SMALL))
    text = Writer(choose).document(plain)
    if choose.whole(0, 3) == 0:
        text = text.replace("\n", "\r\n")
    bom = b"\xef\xbb\xbf" if choose.whole(0, 4) == 0 else b""
    draft = Draft.of("r.yaml", bom + text.encode())
    assert isinstance(draft, Draft), draft
    assert _plain(draft.tree) == plain
    return draft, plain


def _paths(plain: Plain, path: KeyPath = ()) -> list[KeyPath]:
    inner = plain.items() if isinstance(plain, dict) else enumerate(plain) if isinstance(plain, list) else ()
    return [found for key, value in inner for found in ((*path, key), *_paths(value, (*path, key)))]


def _at(plain: Plain, path: KeyPath) -> Plain:
    for part in path:
        plain = plain[part]
    return plain


_TEXTS = (
    "plain words", "yes", "null", "1.0", "0x1f", "it's", "a: b", "x #y", "- dash", "naïve ♪ ʻOkina", "",
    " led", "[a, b]", "two\nlines", "ends\n", "{", "'", '"', "~", "true", "a, b", "tab\there", "trail:",
    "long " * 30 + "end",
)  # fmt: skip


def _some_value(choose: Chooser) -> Plain:
    kind = choose.whole(0, 6)
    if kind < 3:
        return pick(choose, _TEXTS)
    if kind == 3:
        return pick(choose, (3, 0.25, 1e-7, True, None, -2))
    if kind == 4:
        return [pick(choose, _TEXTS) for _ in range(choose.whole(0, 3))]
    return {f"key-{n}": pick(choose, (*_TEXTS, 1, {"in": "side"}, ["x"])) for n in range(choose.whole(0, 3))}


def _comments(text: str) -> list[str]:
    return COMMENT.findall(text)


def _try_change(choose: Chooser, draft: Draft, plain: Plain) -> None:
    path = pick(choose, _paths(plain))
    old = _at(plain, path)
    new = _some_value(choose)
    result = changed(draft, path, _value(new))
    assert isinstance(result, Draft), (path, new, result)
    assert _plain(at(result.tree, path) or scalar(None)) == new
    if not isinstance(old, dict | list):
        assert _comments(result.text) == _comments(draft.text), (path, new)
    back = changed(result, path, _value(old))
    assert isinstance(back, Draft)
    assert same(back.tree, draft.tree)


def _try_add(choose: Chooser, draft: Draft, plain: Plain) -> None:
    groups = [path for path in ((), *_paths(plain)) if isinstance(_at(plain, path), dict | list)]
    path = pick(choose, groups)
    whole = _at(plain, path)
    new = _some_value(choose)
    before = None if choose.whole(0, 1) else choose.whole(0, len(whole))
    if isinstance(whole, dict):
        result = added(draft, path, "brand-new", _value(new), before=before)
        where: KeyPath = (*path, "brand-new")
    else:
        result = appended(draft, path, _value(new), before=before)
        where = (*path, len(whole) if before is None else before)
    assert isinstance(result, Draft), (path, new, before, result)
    assert _comments(result.text) == _comments(draft.text)
    assert _is_subsequence(draft.text, result.text), (path, new)
    back = without(result, where)
    assert isinstance(back, Draft), (path, new, before)
    assert same(back.tree, draft.tree)
    assert _comments(back.text) == _comments(draft.text), (path, new, before)
    if whole:
        assert back.text == draft.text, (path, new, before)


def _is_subsequence(short: str, long: str) -> bool:
    """Whether `long` is `short` with letters put in, brackets of an empty list or mapping aside."""
    letters = iter(long)
    return all(letter in letters for letter in re.sub(r" ?(\{\}|\[\])", "", short))


def _try_remove(choose: Chooser, draft: Draft, plain: Plain) -> None:
    path = pick(choose, _paths(plain))
    result = without(draft, path)
    assert isinstance(result, Draft), (path, result)
    assert _is_subsequence(result.text, draft.text), path
    before, after = _comments(draft.text), _comments(result.text)
    lost = [number for number, note in enumerate(before) if note not in after]
    assert after == [note for note in before if note in after]
    # What is lost stands in one place: above, inside and behind what was taken out.
    assert not lost or lost == list(range(lost[0], lost[-1] + 1)), path


def _try_rename(choose: Chooser, draft: Draft, plain: Plain) -> None:
    section = pick(
        choose, [s for s in ("symptoms", "signs", "causes", "remedies", "rests", "sources") if plain.get(s)]
    )
    old = pick(choose, list(plain[section]))
    new = pick(choose, ("quite-new", "true", "x", "no"))
    result = renamed(draft, section, old, new)
    assert isinstance(result, Draft), (section, old, new, result)
    assert _plain(result.tree) == _renamed(plain, old, new)
    assert _comments(result.text) == _comments(draft.text)
    back = renamed(result, section, new, old)
    assert isinstance(back, Draft)
    assert same(back.tree, draft.tree)
    if new != "true":  # a word that needs quotes takes them, and they stay
        assert back.text == draft.text


def _renamed(plain: Plain, old: str, new: str) -> Plain:
    """Rename by brute force: ids of these documents are written nowhere but where they are meant."""
    if isinstance(plain, dict):
        return {
            new if key == old else key: value if key == "title" else _renamed(value, old, new)
            for key, value in plain.items()
        }
    if isinstance(plain, list):
        return [_renamed(value, old, new) for value in plain]
    return new if plain == old else plain


def _try_slice(choose: Chooser, draft: Draft, plain: Plain) -> None:
    section = pick(
        choose, [s for s in ("symptoms", "causes", "remedies", "priorities", "trials") if plain[s]]
    )
    whole = plain[section]
    entry = pick(
        choose, list(whole) if isinstance(whole, dict) else [one.get("id") or one["title"] for one in whole]
    )
    text = entry_text(draft, section, entry)
    assert isinstance(text, str)
    assert text in draft.text
    again = with_entry_text(draft, section, entry, text)
    assert isinstance(again, Draft), (section, entry, again)
    assert same(again.tree, draft.tree)
    assert again.text == draft.text
    other, _ = _drafted(choose)
    carried = with_entry_text(other, section, entry, text)
    assert isinstance(carried, Draft), (section, entry, text, carried)
    assert same(
        carried.tree[section].get(entry) or scalar(None), draft.tree[section].get(entry) or scalar(None)
    )
    assert set(_comments(carried.text)) >= set(_comments(text)), (section, entry)


_TRIES = (_try_change, _try_add, _try_remove, _try_rename, _try_slice)


@pytest.mark.parametrize("attempt", _TRIES)
@settings(LAW, max_examples=12)
@given(data=st.data())
def test_an_edit_means_what_was_asked_for_and_keeps_the_rest(attempt: Any, data: st.DataObject) -> None:
    choose = Drawn(data.draw)
    attempt(choose, *_drafted(choose))


@pytest.mark.long
@pytest.mark.parametrize("attempt", _TRIES)
def test_thousands_of_edits_mean_what_was_asked_for(attempt: Any) -> None:
    for seed in range(4000):
        choose = Seeded(random.Random(seed))
        attempt(choose, *_drafted(choose))


def test_a_section_is_made_where_the_format_has_its_place() -> None:
    draft = Draft.of("r.yaml", b"canebrake: 1\nid: a\n\n# remedies\nremedies: {}\n")
    assert isinstance(draft, Draft)
    made = with_entry(draft, "causes", "new", mapping([("title", "New")]))
    assert not isinstance(made, Problem)
    assert made.text == "canebrake: 1\nid: a\ncauses:\n  new: {title: New}\n\n# remedies\nremedies: {}\n"
