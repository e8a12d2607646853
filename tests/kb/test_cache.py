"""The cache of installed rulesets: what comes out equals what was read, and anything amiss is not there."""

import os
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from hashlib import sha256
from pathlib import Path
from random import Random

import pytest
from hypothesis import given

from kb import cache
from kb.cache import MOST, Ready, read_once
from kb.home import cache_in
from kb.load import load_file
from kb.model import Ruleset
from kb.model_json import from_json, to_json
from kb.shelf import Installed, shipped
from kb.value import NO_PLACE
from tests.support.running import ROOT, run_python
from tests.support.strategies import situations

GOLDEN = ROOT / "tests" / "golden"
SMALL = """\
canebrake: 1
id: {0}
title: {0}
version: 1.0.0
priorities: []
symptoms: {{}}
causes: {{}}
remedies: {{}}
"""


def installed(content: bytes, folder: Path | None = None) -> Installed:
    return Installed("one", "1.0.0", "One", "", "one.yaml", content, folder=folder)


def small(name: str = "one") -> Installed:
    return installed(SMALL.format(name).encode())


def in_cache(folder: Path, one: Installed) -> Ready | None:
    with cache_in(lambda: folder):
        return read_once(one)


def kept(folder: Path) -> list[Path]:
    return sorted(folder.glob("*.json"))


@pytest.fixture
def unread(monkeypatch: pytest.MonkeyPatch) -> None:
    """Make reading a ruleset's text fail: what is given was found in the cache."""

    def refuse(*_: object) -> None:
        raise AssertionError("it was read again")

    monkeypatch.setattr("kb.load.load_bytes", refuse)


@pytest.mark.parametrize("one", shipped(), ids=lambda one: one.id)
def test_a_ruleset_that_ships_comes_out_of_the_cache_as_it_was_read(
    one: Installed, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    read = in_cache(tmp_path, one)
    request.getfixturevalue("unread")
    again = in_cache(tmp_path, one)
    assert read == again
    assert again is not None
    assert again.ruleset.place is NO_PLACE


@pytest.mark.parametrize("path", sorted(GOLDEN.glob("*.yaml")), ids=lambda path: path.name)
def test_a_golden_ruleset_survives_json(path: Path) -> None:
    ruleset = load_file(path).ruleset
    assert ruleset is not None
    assert from_json(to_json(ruleset)) == ruleset


@given(situations())
def test_any_ruleset_survives_json(situation: tuple[Ruleset, object]) -> None:
    ruleset, _ = situation
    assert from_json(to_json(ruleset)) == ruleset


@pytest.mark.parametrize(
    "text", ["", "[]", "{}", "null", "[" * 100_000, '["id"]', "NaN", "[1" * 30 + "]" * 30]
)
def test_json_of_another_shape_is_refused(text: str) -> None:
    with pytest.raises(ValueError):  # noqa: PT011 - what it says is nobody's to read
        from_json(text)


@pytest.mark.parametrize(
    "before, after",
    [
        ('"1.0.0"', "1.0"),
        ('"fully"', '"somewhat"'),
        ('"QuantityRead"', '"Ruleset"'),
        ("0.97", '"0.97"'),
        ("true", "1"),
        ("null", "{}"),
    ],
)
def test_a_value_of_another_kind_is_refused(before: str, after: str) -> None:
    text = to_json(load_file(GOLDEN / "penny-whistle-voicing.yaml").ruleset or Ruleset.__new__(Ruleset))
    assert before in text
    with pytest.raises(ValueError):  # noqa: PT011 - as above
        from_json(text.replace(before, after, 1))


@pytest.mark.parametrize("seed", range(20))
def test_a_damaged_file_is_not_there(seed: int, tmp_path: Path) -> None:
    read = in_cache(tmp_path, small())
    (path,) = kept(tmp_path)
    content, random = bytearray(path.read_bytes()), Random(seed)
    content[random.randrange(len(content))] ^= 1 << random.randrange(8)
    path.write_bytes(content)
    assert in_cache(tmp_path, small()) == read
    assert path.read_bytes() != bytes(content)  # and it is made anew


@pytest.mark.parametrize("content", [b"", b"\n", b"\xff\xfe", b"none\n[]\n[]", b"x" * 4096])
def test_a_file_of_something_else_is_not_there(content: bytes, tmp_path: Path) -> None:
    read = in_cache(tmp_path, small())
    kept(tmp_path)[0].write_bytes(content)
    assert in_cache(tmp_path, small()) == read


@pytest.mark.parametrize(
    "body", [b"", b"[]", b"[]\n[]", b"[[1]]\n[]", b"5\n[]", b"\xff\n[]", b'[["a","b","c"]]\n[]']
)
def test_a_whole_file_that_holds_something_else_is_not_there(body: bytes, tmp_path: Path) -> None:
    read = in_cache(tmp_path, small())
    kept(tmp_path)[0].write_bytes(sha256(body).hexdigest().encode() + b"\n" + body)
    assert in_cache(tmp_path, small()) == read


def test_another_text_or_another_reader_finds_nothing_old(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    in_cache(tmp_path, small())
    changed = replace(small(), content=small().content.replace(b"title: one", b"title: new"))
    found = in_cache(tmp_path, changed)
    assert found is not None
    assert found.ruleset.title == "new"
    monkeypatch.setattr(cache, "_reader", lambda: b"another version")
    in_cache(tmp_path, small())
    assert len(kept(tmp_path)) == 3


def test_a_ruleset_with_errors_is_none_and_is_not_kept(tmp_path: Path) -> None:
    assert in_cache(tmp_path, installed(b"canebrake: 1\n")) is None
    assert kept(tmp_path) == []


def test_a_base_that_changed_is_read_again(tmp_path: Path) -> None:
    folder = tmp_path / "studio"
    folder.mkdir()
    (folder / "base.yaml").write_text(SMALL.format("base"))
    mine = b"canebrake: 1\nid: mine\ntitle: Mine\nversion: 1.0.0\nextends: {file: base.yaml}\n"
    one = installed(mine, folder=folder)
    first = in_cache(tmp_path, one)
    assert first is not None
    assert first == in_cache(tmp_path, one)
    assert [text for _, text in first.texts] == [mine.decode(), SMALL.format("base")]
    (folder / "base.yaml").write_text(SMALL.format("base") + "instrument: reed pipe\n")
    second = in_cache(tmp_path, one)
    assert second is not None
    assert (first.ruleset.instrument, second.ruleset.instrument) == ("", "reed pipe")
    (folder / "base.yaml").unlink()
    assert in_cache(tmp_path, one) is None


@pytest.mark.skipif(
    not hasattr(os, "geteuid"), reason="Windows keeps others out of a user's folder by itself"
)
def test_a_file_of_another_user_is_not_there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    read = in_cache(tmp_path, small())
    (path,) = kept(tmp_path)
    # Whole, and with another title: it would be believed if it were ours.
    body = path.read_bytes().partition(b"\n")[2].replace(b'"one"', b'"bad"')
    path.write_bytes(sha256(body).hexdigest().encode() + b"\n" + body)
    assert in_cache(tmp_path, small()) != read
    monkeypatch.setattr(os, "geteuid", lambda: path.stat().st_uid + 1)
    assert in_cache(tmp_path, small()) == read


def test_a_link_is_not_followed(tmp_path: Path) -> None:
    read = in_cache(tmp_path / "cache", small())
    (path,) = kept(tmp_path / "cache")
    elsewhere = tmp_path / "elsewhere.json"
    body = path.read_bytes().partition(b"\n")[2].replace(b'"one"', b'"bad"')
    elsewhere.write_bytes(sha256(body).hexdigest().encode() + b"\n" + body)
    path.unlink()
    path.symlink_to(elsewhere)
    assert in_cache(tmp_path / "cache", small()) == read


def test_where_nothing_can_be_written_it_is_read_each_time(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way of a folder")
    assert in_cache(tmp_path / "file", small()) == read_once(small())
    assert in_cache(tmp_path / "file" / "below", small()) == read_once(small())


def test_no_more_than_so_many_are_kept(tmp_path: Path) -> None:
    for number in range(MOST + 3):
        in_cache(tmp_path, small(f"one-{number}"))
    assert len(kept(tmp_path)) == MOST


@pytest.mark.parametrize(
    "name", ["C:\\Users\\Röhre\\AppData", "with  spaces", "é\u0301", "[a]*?" if os.name != "nt" else "x"]
)
def test_a_folder_may_be_called_anything(name: str, tmp_path: Path) -> None:
    folder = tmp_path / name / "Cache"
    assert in_cache(folder, small()) == in_cache(folder, small())
    assert len(kept(folder)) == 1


READ = """
import sys
from pathlib import Path
from kb.home import cache_in
from tui.shelf import ready_ruleset
with cache_in(lambda: Path(sys.argv[1])):
    ready = ready_ruleset("single-reed")
print(ready.ruleset.id, *sorted({"yaml", "kb.build", "kb.load"} & set(sys.modules)))
"""


def test_what_is_known_loads_no_reader(tmp_path: Path) -> None:
    first, second = (run_python(["-c", READ, str(tmp_path / "cache")], tmp_path) for _ in range(2))
    assert first.out.split() == ["single-reed", "kb.build", "kb.load", "yaml"]
    assert second.out.split() == ["single-reed"]


def test_several_processes_at_once_all_read_the_same(tmp_path: Path) -> None:
    with ThreadPoolExecutor(4) as pool:
        runs = list(pool.map(lambda _: run_python(["-c", READ, str(tmp_path / "cache")], tmp_path), range(4)))
    assert {(run.code, run.out.split()[0]) for run in runs} == {(0, "single-reed")}
    assert [path.suffix for path in (tmp_path / "cache").iterdir()] == [".json"]
