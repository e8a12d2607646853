"""Mends: what each changes, and that a file is never the worse for all of them together."""

import random
import re
from pathlib import Path

import pytest

from kb.disk import DiskError
from kb.letters import HIDDEN
from kb.load import Loaded, beside, load_bytes
from kb.mending import REMOVABLE, Mended, mend, save, with_mends
from kb.problem import Severity

ROOT = Path(__file__).parents[2]
FRAME = ROOT / "docs" / "checks"
GOLDEN = ROOT / "tests" / "golden"
MANY = Path(__file__).with_name("many-faults.yaml").read_bytes()
HEAD = "canebrake: 1\nid: mine\ntitle: Mine\nversion: 1.0.0\nextends: {file: frame.yaml}\n"
COMMENT = re.compile(r"(?:^|\s)#[^\r\n]*", re.MULTILINE)


def mended(text: str) -> Mended:
    return mend("mine.yaml", (HEAD + text).encode(), beside(FRAME))


@pytest.mark.parametrize(
    "before, after",
    [
        (
            "causes: {tip-thick: {shows: {starts-lat: often}}}",
            "causes: {tip-thick: {shows: {starts-late: often}}}",
        ),
        ("causes:\n  tip-thick:\n    shows:\n      'starts-lat': often  # why", None),
        ("remedies: {thin-tip: {tool: knif}}", "remedies: {thin-tip: {tool: knife}}"),
        ('remedies: {thin-tip: {undo: "nevver"}}', "remedies: {thin-tip: {undo: never}}"),
        ("causes: {tip-thick: {how_comon: rare}}", "causes: {tip-thick: {how_common: rare}}"),
        ("causes: {tip-thick: {how_common: raer}}", "causes: {tip-thick: {how_common: rare}}"),
        ("causes: {tip-thick: {how_common: ocasional}}", "causes: {tip-thick: {how_common: occasional}}"),
        ("causes: {tip-thick: {elsewhere: no}}", "causes: {tip-thick: {elsewhere: false}}"),
        (
            "causes: {tip-thick: {shows: {opening-wide: 30}}}",
            "causes: {tip-thick: {shows: {opening-wide: 0.3}}}",
        ),
        ("remedies: {thin-tip: {why: 1.50}}", "remedies: {thin-tip: {why: '1.50'}}"),
        ("remedies: {thin-tip: {why: a\u200e b}}", "remedies: {thin-tip: {why: a b}}"),
        ('remedies: {thin-tip: {why: "a\\e b"}}', 'remedies: {thin-tip: {why: "a b"}}'),
        ("quantities: {tip-opening: {unit: MM}}", "quantities: {tip-opening: {unit: mm}}"),
        ("quantities: {damp: {title: Damp, unit: percent}}", "quantities: {damp: {title: Damp, unit: '%'}}"),
        (
            "remedies: {thin-tip: {recheck: [starts-late, starts-late]}}",
            "remedies: {thin-tip: {recheck: [starts-late]}}",
        ),
        ("sources: {old: {title: Old}}\nabout: x", "about: x"),
        ("sources:\n  old: {title: Old}\nabout: x", "about: x"),
        ("tools: {file: {title: File, hazard: file}}\nabout: x", "about: x"),
        ("words: {seldom: 0.15}\nabout: x", "about: x"),
        (
            "causes: {tip-thick: {why: Thick., allow: {leak-zero: It is.}}}",
            "causes: {tip-thick: {why: Thick.}}",
        ),
        (
            "causes:\n  tip-thick:\n    allow:\n      leak-zero: It is.\n    why: Thick.",
            "causes:\n  tip-thick:\n    why: Thick.",
        ),
        (
            "remedies: {thin-tip: {zone: tipp, after: [close-openin]}}",
            "remedies: {thin-tip: {zone: tip, after: [close-opening]}}",
        ),
    ],
)
@pytest.mark.parametrize("newline", ["\n", "\r\n"])
def test_a_mend_changes_what_is_wrong_and_nothing_else(before: str, after: str | None, newline: str) -> None:
    if after is None:
        after = before.replace("'starts-lat'", "starts-late")
    given = (HEAD + before + "\n").replace("\n", newline).encode()
    found = mend("mine.yaml", given, beside(FRAME))
    assert found.after == (HEAD + after + "\n").replace("\n", newline).encode()
    assert found.left.problems == ()


def test_a_version_keeps_its_digits_and_a_missing_format_number_is_put_first() -> None:
    sound = (GOLDEN / "penny-whistle-voicing.yaml").read_bytes()
    line = re.search(rb"^version: 1.0.0", sound, re.MULTILINE)
    assert line is not None
    given = sound.replace(b"\ncanebrake: 1\n", b"\n").replace(line[0], b"version: 1.10")
    found = mend("mine.yaml", b"\xef\xbb\xbf" + given, beside(FRAME))
    assert found.after == b"\xef\xbb\xbf" + sound.replace(line[0], b"version: '1.10'")


@pytest.mark.parametrize(
    "text",
    [
        "zones: {w-1: {title: One}, w-2: {title: Two}}\ncauses: {tip-thick: {zone: w-3}}",  # two as near
        "causes: {tip-thick: {shows: {starts-late: often, starts-lat: often}}}",  # there already
        "causes: {tip-thick: {shows: {starts-late: 1.5}}}",  # meant in more than one way
        "sources:\n  old: {title: Old}  # from my teacher",  # a comment would be lost
    ],
)
def test_what_is_not_plain_is_left_to_the_author(text: str) -> None:
    found = mended(text + "\n")
    assert found.after == found.before
    assert found.left.problems


def test_two_allowances_of_one_entry_are_both_taken_out() -> None:
    found = mended("causes: {tip-thick: {allow: {leak-zero: A., chance-of-one: B.}, why: W.}}\n")
    assert found.after.decode() == HEAD + "causes: {tip-thick: {why: W.}}\n"
    assert len(found.made) == 2


def kinds(loaded: Loaded) -> set[str]:
    return {str(p.check) for p in loaded.problems if p.severity is Severity.ERROR}


def comments(content: bytes) -> list[str]:
    return COMMENT.findall(HIDDEN.sub("", content.decode("utf-8-sig").replace("\r\n", "\n")))


def is_no_worse(content: bytes) -> Mended:
    before = load_bytes("some.yaml", content, beside(GOLDEN))
    found = mend("some.yaml", content, beside(GOLDEN))
    assert kinds(found.left) <= kinds(before)
    if not kinds(before):
        assert {p.check for p in found.left.problems} <= {p.check for p in before.problems}
    assert (found.after == found.before) == (not found.made)
    assert comments(found.after) == comments(content)
    again = mend("some.yaml", found.after, beside(GOLDEN))
    assert again.after == found.after
    return found


def test_the_file_of_many_faults_keeps_its_comments_and_gains_no_new_kind() -> None:
    found = is_no_worse(MANY)
    assert len(found.left.problems) < len(load_bytes("some.yaml", MANY).problems)


WORDS = re.compile(rb"[A-Za-z][A-Za-z_-]{3,}")


@pytest.mark.parametrize("seed", range(60))
def test_a_mistyped_ruleset_is_never_the_worse_for_its_mends(seed: int) -> None:
    rng = random.Random(seed)
    content = rng.choice(sorted(GOLDEN.glob("penny-*.yaml"))).read_bytes()
    for _ in range(rng.choice((1, 2, 4))):
        word = rng.choice(list(WORDS.finditer(content)))
        at = rng.randrange(word.start() + 1, word.end() - 1)
        letters = rng.choice(
            (b"", content[at : at + 1] * 2, b"x", b"_", "\u200f".encode(), content[at : at + 2][::-1])
        )
        content = content[:at] + letters + content[at + 1 :]
    is_no_worse(rng.choice((content, content.replace(b"\n", b"\r\n"))))


def test_many_single_slips_are_mended_back_to_what_was_written() -> None:
    sound = (GOLDEN / "penny-whistle-voicing.yaml").read_bytes()
    for word in (
        b"windway-too-tall: usually",
        b"recheck: [low-notes-break]",
        b"tool: paper-shim",
        b"by: measure",
    ):
        at = sound.index(word) + len(word) - 3
        slipped = sound[:at] + sound[at + 1 :]
        assert load_bytes("some.yaml", slipped).ruleset is None
        assert mend("some.yaml", slipped, beside(GOLDEN)).after == sound


def test_a_file_that_changed_meanwhile_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "mine.yaml"
    path.write_bytes(MANY)
    found = mend(str(path), MANY, beside(tmp_path))
    path.write_bytes(MANY + b"# one more thought\n")
    with pytest.raises(DiskError, match="changed by another program"):
        save(found, path)
    assert path.read_bytes() == MANY + b"# one more thought\n"
    path.write_bytes(MANY)
    save(found, path)
    assert path.read_bytes() == found.after


def test_a_removal_is_proposed_where_the_text_is_known() -> None:
    loaded = load_bytes("mine.yaml", (HEAD + "sources: {old: {title: Old}}\n").encode(), beside(FRAME))
    (problem,) = with_mends(loaded)
    assert problem.check in REMOVABLE
    assert not loaded.problems[0].mend
    assert [change.text for change in problem.mend] == [""]
