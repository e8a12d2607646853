"""The bounded reader and the writer that writes all or nothing."""

import os
from pathlib import Path

import pytest

from kb.disk import DiskError, read_bounded, write_whole
from kb.load import load_file


def test_what_was_written_is_read(tmp_path: Path) -> None:
    write_whole(tmp_path / "a file", b"one\r\n\x00two")
    assert read_bounded(tmp_path / "a file", 100) == b"one\r\n\x00two"
    assert [path.name for path in tmp_path.iterdir()] == ["a file"]


def test_never_more_than_one_byte_over_the_limit_is_read(tmp_path: Path) -> None:
    write_whole(tmp_path / "long", b"x" * 1000)
    assert len(read_bounded(tmp_path / "long", 10)) == 11
    assert len(read_bounded(tmp_path / "long", 1000)) == 1000


@pytest.mark.parametrize(
    "name, said",
    [
        ("nothing", "there is no file"),
        (".", "is a folder, not a file"),
        ("file/inside", "there is no file"),
        ("a\0b", "cannot be"),
    ],
)
def test_a_file_that_cannot_be_read_is_said_in_a_sentence(tmp_path: Path, name: str, said: str) -> None:
    write_whole(tmp_path / "file", b"")
    with pytest.raises(DiskError, match=said):
        read_bounded(tmp_path / name, 10)
    with pytest.raises(DiskError, match=said):
        load_file(tmp_path / name)


def test_a_name_with_a_slip_is_asked_about_and_another_is_not(tmp_path: Path) -> None:
    write_whole(tmp_path / "bread.yaml", b"")
    (tmp_path / "breads.yaml.d").mkdir()
    for slip in ("bread.yml", "bred.yaml"):
        with pytest.raises(DiskError, match=r"there is no file .*; did you mean .*bread\.yaml\?$"):
            read_bounded(tmp_path / slip)
    with pytest.raises(DiskError, match=r"there is no file .*tomato\.yaml$"):
        read_bounded(tmp_path / "tomato.yaml")


@pytest.mark.parametrize(
    "name, said", [("no/where", "there is no folder"), (".", "folder"), ("a\0b", "cannot be")]
)
def test_a_file_that_cannot_be_written_is_said_in_a_sentence(tmp_path: Path, name: str, said: str) -> None:
    with pytest.raises(DiskError, match=said):
        write_whole(tmp_path / name, b"x")


@pytest.mark.skipif(os.geteuid() == 0, reason="root may read and write everything")
def test_missing_permission_is_said(tmp_path: Path) -> None:  # pragma: no cover  (where tests run as root)
    write_whole(tmp_path / "mine", b"x")
    (tmp_path / "mine").chmod(0)
    with pytest.raises(DiskError, match="you may not read"):
        read_bounded(tmp_path / "mine", 10)


def test_a_write_that_fails_leaves_the_old_file_and_nothing_beside_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_whole(tmp_path / "kept", b"old")

    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(DiskError, match="no space left on device; what was there before is unchanged"):
        write_whole(tmp_path / "kept", b"new")
    assert (tmp_path / "kept").read_bytes() == b"old"
    assert [path.name for path in tmp_path.iterdir()] == ["kept"]


def test_a_file_keeps_its_permissions_and_a_link_stays_a_link(tmp_path: Path) -> None:
    write_whole(tmp_path / "real", b"old")
    (tmp_path / "real").chmod(0o640)
    (tmp_path / "link").symlink_to(tmp_path / "real")
    write_whole(tmp_path / "link", b"new")
    assert (tmp_path / "link").is_symlink()
    assert (tmp_path / "real").read_bytes() == b"new"
    assert (tmp_path / "real").stat().st_mode & 0o777 == 0o640


def test_a_base_that_is_a_link_out_of_its_folder_is_not_followed(tmp_path: Path) -> None:
    (tmp_path / "in").mkdir()
    write_whole(tmp_path / "outside.yaml", b"canebrake: 1\nid: outside\n")
    (tmp_path / "in" / "base.yaml").symlink_to(tmp_path / "outside.yaml")
    write_whole(tmp_path / "in" / "mine.yaml", b"canebrake: 1\nid: mine\nextends: {file: base.yaml}\n")
    loaded = load_file(tmp_path / "in" / "mine.yaml")
    assert [str(problem.check) for problem in loaded.problems] == ["base-not-found"]
    assert "a link that leaves its folder" in loaded.problems[0].message


@pytest.mark.parametrize("name", [".", "..", "/"])
def test_a_folder_by_its_short_name_is_no_place_to_write_to(name: str) -> None:
    with pytest.raises(DiskError, match="is a folder, not a file"):
        write_whole(Path(name), b"x")


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_is_written_into_and_stays_a_pipe(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    reader = os.open(pipe, os.O_RDONLY | os.O_NONBLOCK)
    try:
        write_whole(pipe, b"drawn")
        assert os.read(reader, 100) == b"drawn"
    finally:
        os.close(reader)
    assert pipe.is_fifo()
    assert [path.name for path in tmp_path.iterdir()] == ["pipe"]
