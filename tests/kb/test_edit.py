"""Edits to an author's text, by example: what is written, what stays, and what is refused."""

from pathlib import Path

import pytest

from kb.disk import DiskError
from kb.edit import (
    Draft,
    added,
    appended,
    changed,
    entry_text,
    listing,
    mapping,
    open_draft,
    renamed,
    save,
    scalar,
    with_entry,
    with_entry_text,
    without,
)
from kb.letters import HIDDEN
from kb.load import load_bytes
from kb.naming import SECTIONS
from kb.problem import Problem
from kb.value import Value
from tests.support.running import ROOT

TEXT = """\
# The head of the file.
canebrake: 1
version: "1.0.0"   # in quotes

causes:
  # Above the first.
  first: {title: First, how_common: rare}   # behind the first
  second: {title: 'Second, and', how_common: rare}

  # A heading that stands apart.

  # Above the third.
  third:
    title: >-   # folded
      The third
      cause
    how_common: common
    # the last word on the third
remedies: {}
opening: [b, a]   # first b
"""


def _draft(text: str = TEXT) -> Draft:
    draft = Draft.of("r.yaml", text.encode())
    assert isinstance(draft, Draft)
    return draft


def _text(result: Draft | Problem) -> str:
    assert isinstance(result, Draft), result
    return result.text


def _why(result: Draft | Problem | str) -> str:
    assert isinstance(result, Problem)
    return f"{result.message}; {result.hint}" if result.hint else result.message


def test_a_number_a_word_and_a_text_in_quotes_are_changed_where_they_stand() -> None:
    draft = _draft()
    result = changed(draft, ("causes", "second", "how_common"), scalar(0.25))
    assert _text(result) == TEXT.replace("'Second, and', how_common: rare", "'Second, and', how_common: 0.25")
    assert _text(changed(draft, ("version",), scalar("1.1.0"))) == TEXT.replace('"1.0.0"', '"1.1.0"')
    result = changed(draft, ("causes", "second", "title"), scalar("It's so"))
    assert _text(result) == TEXT.replace("'Second, and'", "'It''s so'")


def test_a_folded_text_stays_folded_and_keeps_the_comment_behind_its_sign() -> None:
    result = changed(_draft(), ("causes", "third", "title"), scalar("Another title"))
    assert _text(result) == TEXT.replace("The third\n      cause", "Another title")


def test_a_comment_behind_a_value_never_becomes_part_of_a_longer_one() -> None:
    draft = _draft("a: 1   # one\nb:\n  - x   # ex\n")
    long = "word " * 30 + "end"
    result = changed(draft, ("a",), scalar(long))
    assert _text(result).startswith("a: >-   # one\n  word")
    result = changed(draft, ("a",), mapping([("in", long)]))
    assert _text(result).startswith("a:   # one\n  in: >-\n    word")
    assert "- >-   # ex\n" in _text(changed(draft, ("b", 0), scalar(long)))


def test_of_a_mapping_and_a_list_only_what_differs_is_touched() -> None:
    draft = _draft()
    new = mapping([("title", "First"), ("how_common", "common"), ("why", "Because: so")])
    result = changed(draft, ("causes", "first"), new)
    assert _text(result) == TEXT.replace(
        "{title: First, how_common: rare}", "{title: First, how_common: common, why: 'Because: so'}"
    )
    assert _text(changed(draft, ("opening",), listing(["b", "c", "a"]))) == TEXT.replace(
        "[b, a]", "[b, c, a]"
    )
    third = mapping([("title", "The third cause"), ("how_common", "rare")])
    assert _text(changed(draft, ("causes", "third"), third)) == TEXT.replace(
        "how_common: common", "how_common: rare"
    )


def test_another_order_of_the_same_keys_changes_nothing() -> None:
    draft = _draft()
    causes = draft.tree["causes"]
    turned = mapping((pair.key, pair.value) for pair in reversed(causes.pairs()))
    assert _text(changed(draft, ("causes",), turned)) == TEXT
    whole = mapping((pair.key, pair.value) for pair in reversed(draft.tree.pairs()))
    assert _text(changed(draft, (), whole)) == TEXT


def test_an_entry_is_added_in_the_style_of_its_neighbours() -> None:
    value = mapping([("title", "Fourth"), ("how_common", "rare"), ("shows", mapping([("a", "usually")]))])
    result = with_entry(_draft(), "causes", "fourth", value)
    lines = "  fourth:\n    title: Fourth\n    how_common: rare\n    shows: {a: usually}\n"
    assert _text(result) == TEXT.replace("remedies: {}", f"{lines}remedies: {{}}")
    flow = "  new: {title: New}\n"
    result = added(_draft(), ("causes",), "new", mapping([("title", "New")]), before=1)
    assert _text(result) == TEXT.replace("  second:", f"{flow}  second:")


def test_the_first_entry_of_an_empty_section_opens_it() -> None:
    result = with_entry(_draft(), "remedies", "new", mapping([("title", "New")]))
    assert _text(result) == TEXT.replace("remedies: {}", "remedies:\n  new: {title: New}")
    result = with_entry(
        _draft("id: a\nremedies:   # none yet\nopening: []\n"), "remedies", "x", mapping([("title", "New")])
    )
    assert _text(result) == "id: a\nremedies:   # none yet\n  x: {title: New}\nopening: []\n"


def test_a_missing_section_is_made_in_its_place() -> None:
    result = with_entry(_draft(), "sources", "own", mapping([("title", "Own")]))
    assert _text(result) == TEXT.replace("\n\ncauses:", "\nsources:\n  own: {title: Own}\n\ncauses:")
    result = with_entry(_draft(), "trials", "", mapping([("title", "One")]))
    assert _text(result) == f"{TEXT}trials:\n  - {{title: One}}\n"


def test_an_entry_goes_with_its_own_comments_and_leaves_those_of_its_neighbours() -> None:
    first = "  # Above the first.\n  first: {title: First, how_common: rare}   # behind the first\n"
    assert _text(without(_draft(), ("causes", "first"))) == TEXT.replace(first, "")
    third = TEXT[TEXT.index("\n  # Above the third.") : TEXT.index("remedies: {}")]
    assert _text(without(_draft(), ("causes", "third"))) == TEXT.replace(third, "")
    second = "  second: {title: 'Second, and', how_common: rare}\n"
    assert _text(without(_draft(), ("causes", "second"))) == TEXT.replace(second, "")


def test_a_section_that_loses_its_last_entry_is_left_empty() -> None:
    draft = _draft("causes:   # why\n  # own\n  only:\n    title: Only\nid: a\n")
    assert _text(without(draft, ("causes", "only"))) == "causes: {}   # why\nid: a\n"
    draft = _draft("causes: {only: {title: Only}}\ntrials:\n  - title: One\n")
    assert _text(without(draft, ("causes", "only"))) == "causes: {}\ntrials:\n  - title: One\n"
    assert _text(without(draft, ("trials", 0))) == "causes: {only: {title: Only}}\ntrials: []\n"


def test_the_last_pair_between_brackets_goes_with_the_comma_before_it() -> None:
    draft = _draft("a: {x: 1, y: 2}\nb: [\n  1,   # one\n  2    # two\n]\n")
    assert _text(without(draft, ("a", "y"))).startswith("a: {x: 1}\n")
    assert _text(without(draft, ("b", 1))).endswith("b: [\n  1   # one\n]\n")


def test_a_pair_beside_a_dash_is_taken_out() -> None:
    draft = _draft("priorities:\n  - id: a\n    title: A\n  - id: b\n")
    assert _text(without(draft, ("priorities", 0, "id"))) == "priorities:\n  - title: A\n  - id: b\n"
    assert _text(without(draft, ("priorities", 0))) == "priorities:\n  - id: b\n"


def test_line_ends_a_byte_order_mark_and_a_missing_last_line_end_stay(tmp_path: Path) -> None:
    path = tmp_path / "r.yaml"
    path.write_bytes(b"\xef\xbb\xbf" + b"id: a\r\ncauses:\r\n  x: {title: X}")
    draft = open_draft(path)
    assert isinstance(draft, Draft)
    result = with_entry(draft, "causes", "y", mapping([("title", "Y"), ("why", "line\nline")]))
    assert isinstance(result, Draft)
    save(result, path)
    said = b"""\xef\xbb\xbfid: a\r\ncauses:\r\n  x: {title: X}\r\n  y: {title: Y, why: "line\\nline"}"""
    assert path.read_bytes() == said


def test_an_id_is_renamed_with_every_reference_and_nothing_else() -> None:
    text = (
        "opening: [late, 'late']\nsymptoms:\n  late: {ask: late?}   # late\nsigns: {}\n"
        "causes: {thick: {title: late, shows: {late: usually}}}\nzones: {late: {title: Zone}}\n"
        "trials:\n  - {title: late, given: {late: yes}, expect: {step: [late]}}\n"
    )
    result = renamed(_draft(text), "symptoms", "late", "starts-late")
    assert _text(result) == (
        "opening: [starts-late, 'starts-late']\nsymptoms:\n  starts-late: {ask: late?}   # late\nsigns: {}\n"
        "causes: {thick: {title: late, shows: {starts-late: usually}}}\nzones: {late: {title: Zone}}\n"
        "trials:\n  - {title: late, given: {starts-late: yes}, expect: {step: [starts-late]}}\n"
    )


BASSOON = (ROOT / "rulesets/bassoon.yaml").read_bytes()


@pytest.mark.parametrize("section", [*(name for name, _, _ in SECTIONS), "priorities"])
def test_a_renamed_entry_of_a_whole_ruleset_leaves_no_reference_to_nothing(section: str) -> None:
    draft = Draft.of("bassoon.yaml", BASSOON)
    assert isinstance(draft, Draft)
    whole = draft.tree[section]
    name = whole.pairs()[-1].key if whole.pairs() else str(whole.items()[-1]["id"].data)
    result = renamed(draft, section, name, "called-anew")
    assert isinstance(result, Draft)
    loaded = load_bytes("bassoon.yaml", result.content)
    assert loaded.problems == ()
    assert "called-anew" in result.text


def test_a_layer_follows_a_base_that_renamed_an_entry() -> None:
    draft = _draft("extends: {file: b.yaml}\nwithdraw: [old]\nremedies: {new: {cures: {old: often}}}\n")
    said = "extends: {file: b.yaml}\nwithdraw: [other]\nremedies: {new: {cures: {other: often}}}\n"
    assert _text(renamed(draft, "causes", "old", "other")) == said


@pytest.mark.parametrize(
    "result,why",
    [
        (changed(_draft(), ("causes", "forth"), scalar(1)), "there is no 'forth' under 'causes'"),
        (changed(_draft(), ("opening", 7), scalar("x")), "the list has no item 7 under 'opening'"),
        (without(_draft(), ("tools",)), "there is no 'tools' in this file"),
        (without(_draft(), ()), "the whole file cannot be taken out"),
        (
            with_entry(_draft(), "causes", "first", scalar(1)),
            "'first' is there already; change it, or choose another word",
        ),
        (added(_draft(), ("version",), "x", scalar(1)), "'version' is no mapping: it takes no keys"),
        (appended(_draft(), ("causes",), scalar(1)), "'causes' is no list"),
        (added(_draft(), ("causes",), "bad\x1b", scalar(1)), "this text holds an invisible character"),
        (changed(_draft(), ("version",), scalar("a\u202eb")), "this text holds an invisible character"),
        (changed(_draft(), ("version",), scalar(float("nan"))), "nan is no number"),
        (renamed(_draft(), "causes", "frst", "x"), "no cause is called 'frst'; did you mean 'first'?"),
        (renamed(_draft(), "causes", "first", "ready"), "'ready' cannot be an id"),
        (renamed(_draft(), "causes", "first", "No Id"), "'No Id' cannot be an id"),
        (renamed(_draft(), "causes", "first", "a"), "'a' is the id of a symptom or sign already"),
        (renamed(_draft(), "words", "first", "a"), "'words' is no section of entries with ids"),
        (entry_text(_draft(), "causes", "none"), "'causes' has no entry 'none'"),
        (
            with_entry_text(_draft(), "causes", "first", "other: 1"),
            "this text is not the entry 'first' alone",
        ),
        (with_entry_text(_draft(), "causes", "first", "first: ["), "a value is missing here"),
    ],
)
def test_an_edit_that_cannot_be_made_says_why(result: Draft | Problem | str, why: str) -> None:
    assert why in _why(result)


def test_a_text_with_faults_of_reading_is_not_edited() -> None:
    for text in (b"a: {b", b"a: 1\na: 2\n", b"a: &x 1\n", b"\xff", b"a: \x1b\n", b""):
        assert isinstance(Draft.of("r.yaml", text), Problem)


def test_the_text_of_an_entry_is_carried_to_another_file_with_its_comments() -> None:
    text = entry_text(_draft(), "causes", "third")
    assert isinstance(text, str)
    assert text.startswith("  # Above the third.\n  third:\n")
    assert text.endswith("    # the last word on the third")
    into = "causes:\n    first: {title: Mine}   # mine\n"
    third = "".join(f"  {line}\n" for line in text.split("\n"))
    assert _text(with_entry_text(_draft(into), "causes", "third", text)) == into + third
    into = "id: a\ncauses: {first: {title: Mine}}   # mine\n"
    opened = "id: a\ncauses:   # mine\n  first: {title: Mine}\n" + text + "\n"
    assert _text(with_entry_text(_draft(into), "causes", "third", text)) == opened


def test_a_file_changed_meanwhile_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "r.yaml"
    path.write_text("id: a\n")
    draft = open_draft(path)
    assert isinstance(draft, Draft)
    result = changed(draft, ("id",), scalar("b"))
    assert isinstance(result, Draft)
    path.write_text("id: c\n")
    with pytest.raises(DiskError, match="was changed by another program"):
        save(result, path)
    assert path.read_text() == "id: c\n"
    path.unlink()
    with pytest.raises(DiskError, match="is no longer there"):
        save(result, path)
    path.write_text("id: a\n")
    again = changed(save(result, path), ("id",), scalar("d"))
    assert isinstance(again, Draft)
    save(again, path)
    assert path.read_text() == "id: d\n"


def test_a_new_draft_does_not_overwrite(tmp_path: Path) -> None:
    draft = Draft.of("r.yaml", b"id: a\n", seen="")
    assert isinstance(draft, Draft)
    save(draft, tmp_path / "r.yaml")
    with pytest.raises(DiskError, match="is there already"):
        save(draft, tmp_path / "r.yaml")


@pytest.mark.parametrize("letter", ["\x07", "\u2028", "\ufeff", "\ud800"])
def test_no_hidden_character_is_ever_written(letter: str) -> None:
    assert HIDDEN.match(letter)
    value: Value = listing([mapping([("a", f"x{letter}")])])
    assert isinstance(changed(_draft(), ("causes", "first"), value), Problem)
