"""`canebrake studio pack`, `look`, `unpack`: what goes from hand to hand arrives as it was."""

import json
import re
import shutil
from pathlib import Path

import pytest

from kb.bundle.archive import opened
from kb.load import load_file
from tests.support.forging import with_names
from tests.support.running import ROOT, run_here

GOLDEN = ROOT / "tests" / "golden"
PICTURE = b"\x89PNG\r\n\x1a\nand so on"


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    for name in ("penny-whistle-hill.yaml", "penny-whistle-voicing.yaml"):
        shutil.copy(GOLDEN / name, tmp_path / name)
    (tmp_path / "crow.png").write_bytes(PICTURE)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_a_ruleset_goes_with_its_base_and_its_pictures_and_comes_out_the_same(desk: Path) -> None:
    packed = run_here(
        ["studio", "pack", "penny-whistle-hill.yaml", "--with", "crow.png", "-o", "a.zip"], desk
    )
    assert packed.code == 0
    assert "penny-whistle-voicing.yaml" in packed.out
    assert "others extend it" in packed.out
    taken = run_here(["studio", "unpack", "a.zip", "-o", "out"], desk)
    assert taken.code == 0
    assert taken.out == packed.out + "Written to out\n"
    assert {path.name: path.read_bytes() for path in (desk / "out").iterdir()} == {
        name: (desk / name).read_bytes()
        for name in ("penny-whistle-hill.yaml", "penny-whistle-voicing.yaml", "crow.png")
    }
    assert load_file(desk / "out" / "penny-whistle-hill.yaml").ruleset is not None


def test_a_base_known_by_id_goes_along_and_is_found_where_it_is_not_installed(desk: Path) -> None:
    (desk / "mine.yaml").write_text(
        "canebrake: 1\nid: mine\ntitle: Mine\nversion: 1.0.0\n"
        "extends: {id: penny-whistle-voicing, version: 1.0.0}\n"
    )
    assert run_here(["studio", "pack", "mine.yaml", "-o", "a.zip"], desk).code == 0
    (desk / "penny-whistle-voicing.yaml").unlink()
    assert run_here(["check", "mine.yaml"], desk).code == 1
    assert run_here(["studio", "unpack", "a.zip", "-o", "out"], desk).code == 0
    assert run_here(["check", "out/mine.yaml"], desk).code == 0


def test_the_fingerprint_told_is_that_of_the_file(desk: Path) -> None:
    packed = run_here(["studio", "pack", "penny-whistle-hill.yaml", "-o", "a.zip", "--json"], desk)
    looked = run_here(["studio", "look", "a.zip", "--json"], desk)
    assert json.loads(packed.out) == json.loads(looked.out)
    assert re.fullmatch("([0-9]{5} ){7}[0-9]{5}", json.loads(packed.out)["fingerprint"])
    again = run_here(["studio", "pack", "penny-whistle-hill.yaml", "-o", "b.zip"], desk)
    assert again.code == 0
    assert (desk / "a.zip").read_bytes() == (desk / "b.zip").read_bytes()


def test_a_ruleset_with_errors_is_not_packed(desk: Path) -> None:
    shutil.copy(ROOT / "docs" / "guides" / "with-a-slip.yaml", desk / "slip.yaml")
    ran = run_here(["studio", "pack", "slip.yaml", "-o", "a.zip"], desk)
    assert ran.code == 1
    assert "unknown-reference" in ran.err
    assert "slip.yaml has errors, and is not shared" in ran.err
    assert not (desk / "a.zip").exists()


def test_a_bundle_with_a_broken_ruleset_says_so_and_is_still_unpacked(desk: Path) -> None:
    from kb.bundle.archive import packed  # noqa: PLC0415 - one test makes what the command would not
    from kb.bundle.contents import Bundle, Member  # noqa: PLC0415 - the same

    (desk / "a.zip").write_bytes(packed(Bundle("x", (Member("x.yaml", b"canebrake: 1\n"),), ("x.yaml",))))
    ran = run_here(["studio", "unpack", "a.zip", "-o", "out"], desk)
    assert ran.code == 1
    assert "missing-key" in ran.out
    assert (desk / "out" / "x.yaml").exists()


@pytest.mark.parametrize(
    "words, said",
    [
        (["pack", "penny-whistle-hill.yaml", "--with", "a.sh", "-o", "a.zip"], "no kind of file"),
        (["pack", "penny-whistle-hill.yaml", "--with", "no.png", "-o", "a.zip"], "there is no file no.png"),
        (["pack", "no.yaml", "-o", "a.zip"], "there is no file no.yaml"),
        (["pack", "penny-whistle-hill.yaml", "-o", "crow.png"], "no file of this kind"),
        (["pack", "penny-whistle-hill.yaml", "-o", "no/a.zip"], "there is no folder no"),
        (["pack", "penny-whistle-hill.yaml"], "required: -o"),
        (["look", "crow.png"], "crow.png is refused: it is no bundle"),
        (["unpack", "no.zip", "-o", "x"], "there is no file no.zip"),
        (["unpack", "evil.zip", "-o", "x"], "leads out of its folder; nothing was written"),
        ([], "say what to do: pack, look"),
        (["burn"], "invalid choice"),
    ],
)
def test_what_cannot_be_done_is_said_in_a_sentence(desk: Path, words: list[str], said: str) -> None:
    (desk / "a.sh").write_text("#!/bin/sh\n")
    (desk / "evil.zip").write_bytes(with_names("../x.txt"))
    ran = run_here(["studio", *words], desk)
    assert ran.code == 2
    assert said in ran.err
    assert not (desk / "x").exists()


def test_nothing_is_written_over_or_into_what_is_there(desk: Path) -> None:
    assert run_here(["studio", "pack", "penny-whistle-hill.yaml", "-o", "a.zip"], desk).code == 0
    assert run_here(["studio", "unpack", "a.zip", "-o", "out"], desk).code == 0
    again = run_here(["studio", "unpack", "a.zip", "-o", "out"], desk)
    assert again.code == 0
    assert "The same is there already: out" in again.out
    (desk / "out" / "penny-whistle-hill.yaml").write_text("mine")
    ran = run_here(["studio", "unpack", "a.zip", "-o", "out"], desk)
    assert ran.code == 2
    assert "out is there already and holds something else; name a new folder" in ran.err
    assert (desk / "out" / "penny-whistle-hill.yaml").read_text() == "mine"
    (desk / "empty").mkdir()
    assert run_here(["studio", "unpack", "a.zip", "-o", "empty"], desk).code == 0
    (desk / "link").symlink_to(desk / "nowhere")
    linked = run_here(["studio", "unpack", "a.zip", "-o", "link"], desk)
    assert (linked.code, "link is a link" in linked.err) == (2, True)
    assert run_here(["studio", "pack", "penny-whistle-hill.yaml", "-o", "a.zip"], desk).code == 2
    assert run_here(["studio", "pack", "penny-whistle-hill.yaml", "-o", "a.zip", "--force"], desk).code == 0


def test_what_a_folder_holds_is_not_changed_by_packing(desk: Path) -> None:
    before = {path.name: path.read_bytes() for path in desk.iterdir()}
    assert run_here(["studio", "pack", "bassoon", "penny-whistle-hill.yaml", "-o", "a.zip"], desk).code == 0
    names = [member.name for member in opened((desk / "a.zip").read_bytes()).members]
    assert names == ["bassoon.yaml", "penny-whistle-hill.yaml", "penny-whistle-voicing.yaml"]
    (desk / "a.zip").unlink()
    assert {path.name: path.read_bytes() for path in desk.iterdir()} == before


def test_two_files_of_one_name_are_not_packed_together(desk: Path) -> None:
    (desk / "other").mkdir()
    (desk / "other" / "penny-whistle-hill.yaml").write_bytes(
        (desk / "penny-whistle-voicing.yaml").read_bytes() + b"# another\n"
    )
    words = ["studio", "pack", "penny-whistle-hill.yaml", "other/penny-whistle-hill.yaml", "-o", "a.zip"]
    ran = run_here(words, desk)
    assert ran.code == 2
    assert "two different files are called 'penny-whistle-hill.yaml'" in ran.err
