"""A ruleset's text in its author's hands: nothing is lost, nothing is written over unseen."""

from pathlib import Path

import pytest

from kb.disk import DiskError
from tests.support.running import ROOT
from tui.manuscript import Manuscript, open_manuscript
from tui.shelf import ShelfError

WHISTLE = (ROOT / "tests/golden/penny-whistle-voicing.yaml").read_bytes()


def a_file(folder: Path, content: bytes = WHISTLE) -> Manuscript:
    path = folder / "mine.yaml"
    path.write_bytes(content)
    return open_manuscript(str(path))


def test_what_is_written_back_without_a_change_is_the_same_bytes(tmp_path: Path) -> None:
    for content in (WHISTLE, b"\xef\xbb\xbf" + WHISTLE, WHISTLE.replace(b"\n", b"\r\n")):
        page = a_file(tmp_path, content)
        assert not page.is_unsaved
        assert page.saved().content == content
        assert (tmp_path / "mine.yaml").read_bytes() == content


def test_a_change_is_written_and_then_nothing_is_unsaved(tmp_path: Path) -> None:
    page = a_file(tmp_path).with_text("canebrake: 1\n")
    assert page.is_unsaved
    after = page.saved()
    assert not after.is_unsaved
    assert (tmp_path / "mine.yaml").read_bytes() == b"canebrake: 1\n"


def test_a_file_that_someone_else_changed_is_not_written_over(tmp_path: Path) -> None:
    page = a_file(tmp_path).with_text("mine")
    (tmp_path / "mine.yaml").write_bytes(b"theirs")
    with pytest.raises(DiskError, match="changed by someone else"):
        page.saved()
    assert (tmp_path / "mine.yaml").read_bytes() == b"theirs"
    assert page.forced().content == b"mine"


def test_a_file_that_is_gone_is_written_anew(tmp_path: Path) -> None:
    page = a_file(tmp_path).with_text("mine")
    (tmp_path / "mine.yaml").unlink()
    page.saved()
    assert (tmp_path / "mine.yaml").read_bytes() == b"mine"


def test_an_installed_ruleset_is_read_and_never_written() -> None:
    page = open_manuscript("bassoon")
    assert page.path is None
    assert not page.with_text("other").is_unsaved
    with pytest.raises(DiskError, match="ships with canebrake"):
        page.saved()


def test_a_text_is_judged_as_every_face_judges_it(tmp_path: Path) -> None:
    page = a_file(tmp_path)
    assert page.judged().problems == ()
    slip = page.with_text(page.text.replace("shows: {low-notes-break", "shows: {low-note-break"))
    assert [problem.check for problem in slip.judged().problems] == ["unknown-reference"]


def test_entries_are_listed_by_section_with_their_places(tmp_path: Path) -> None:
    page = a_file(tmp_path)
    lines = page.text.splitlines()
    for passage in page.passages():
        assert lines[passage.line - 1][passage.column - 1 :].startswith((passage.id, "{id: ", "title: "))
    found = {(one.section, one.id) for one in page.passages()}
    assert {("priorities", "response"), ("causes", "damp-block"), ("rests", "overnight")} <= found
    assert page.with_text("[").passages() == ()


@pytest.mark.parametrize("content", [b"\xff\xfe", b"\0" * 400], ids=["not UTF-8", "no text"])
def test_what_is_no_text_is_refused_with_a_sentence(content: bytes, tmp_path: Path) -> None:
    with pytest.raises(ShelfError, match=r"mine\.yaml"):
        a_file(tmp_path, content)
    with pytest.raises(ShelfError):
        open_manuscript(str(tmp_path / "nothing-here.yaml"))
