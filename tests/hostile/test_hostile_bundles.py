"""Bundles from strangers: each attack is refused in words, before a byte is written."""

import random
import re
import stat
import struct
import zipfile
from pathlib import Path

import pytest

from kb.bundle.archive import opened, packed
from kb.bundle.contents import LIST, MOST, BundleError
from kb.bundle.judging import judged
from kb.disk import write_folder
from tests.support.forging import (
    RULES,
    SOUND,
    directory_at,
    entry,
    list_of,
    mangled,
    patched,
    with_entry,
    with_names,
    zipped,
)
from tests.support.running import run_here

NAMES = {
    "../x.txt": "leads out of its folder",
    "a/../../x.txt": "leads out of its folder",
    "a/..": "leads out of its folder",
    "/etc/x.txt": "begins at the root of a disk",
    "//server/share/x.txt": "begins at the root of a disk",
    "\\\\server\\share\\x.txt": "holds a backslash",
    "..\\x.txt": "holds a backslash",
    "a\\x.txt": "holds a backslash",
    "C:x.txt": "names a drive",
    "c:/x.txt": "names a drive",
    "a/C:x.txt": "holds one of",
    "x.txt:stream.txt": "holds one of",
    "x\0.txt": "invisible character",
    "x\n.txt": "invisible character",
    "\u202egnp.txt": "invisible character",
    "x\u200b.txt": "invisible character",
    "x\ufe0f.txt": "invisible character",
    "con.txt": "reserved for a device",
    "a/NUL/x.txt": "reserved for a device",
    "com1.txt": "reserved for a device",
    "LPT¹.txt": "reserved for a device",
    "ＣＯＮ.txt": "reserved for a device",
    "conin$.txt": "reserved for a device",
    "x.txt.": "ends with a dot",
    "x.txt ": "begins or ends with a space",
    " x.txt": "begins or ends with a space",
    "a /x.txt": "begins or ends with a space",
    "a./x.txt": "ends with a dot",
    "./x.txt": "has an empty part",
    "a//x.txt": "has an empty part",
    "a/./x.txt": "has an empty part",
    ".x.txt": "is hidden",
    ".git/hooks/x.txt": "is hidden",
    "a\u0308.txt": "loose accents",
    "a\uff0f..\uff0fx.txt": "looks like a slash",
    "a\u2215x.txt": "looks like a slash",
    "a*.txt": "holds one of",
    "a/b/c/d/e/f/x.txt": "folders deep",
    "x" * 130 + ".txt": "more than 120 bytes",
    "ü" * 110 + ".txt": "longer than 200 bytes",
    "x.sh": "no kind of file that is shared",
    "x.zip": "no kind of file that is shared",
    "x.svg": "no kind of file that is shared",
    "x": "no kind of file that is shared",
    "x.TXT": "no kind of file that is shared",
    "x.png": "does not begin like one",
    "x.webp": "does not begin like one",
}
TWINS = {
    "same case": ("a.txt", "A.txt"),
    "full width": ("a.txt", "ａ.txt"),
    "sharp s": ("straße.txt", "STRASSE.txt"),
    "ligature": ("ﬁ.txt", "fi.txt"),
    "kelvin": ("k.txt", "\u212a.txt"),
    "folders": ("a/x.txt", "A/y.txt"),
    "folder and file": ("x.txt", "x.txt/y.txt"),
    "the list": ("Contents.JSON", "z.txt"),
}


def refusal(content: bytes) -> str:
    with pytest.raises(BundleError) as told:
        opened(content)
    assert len(str(told.value)) < 400
    return str(told.value)


@pytest.mark.parametrize("name", NAMES, ids=ascii)
def test_a_name_that_is_not_safe_everywhere_is_refused(name: str) -> None:
    said = refusal(with_names(name))
    assert NAMES[name] in said


@pytest.mark.parametrize("names", TWINS.values(), ids=TWINS)
def test_names_that_some_system_takes_for_one_are_refused(names: tuple[str, str]) -> None:
    assert re.search(
        r"same (file|folder) on some systems|at once|no kind of file|NFC", refusal(with_names(*names))
    )


def test_the_same_name_twice_is_refused() -> None:
    assert "is in it twice" in refusal(with_names("x.txt", "x.txt"))


@pytest.mark.parametrize(
    "mode, said",
    [
        (stat.S_IFLNK | 0o777, "is a link"),
        (stat.S_IFDIR | 0o755, "is a folder"),
        (stat.S_IFIFO | 0o644, "has a mode"),
        (stat.S_IFCHR | 0o644, "has a mode"),
        (stat.S_IFREG | 0o4755, "has a mode"),
        (stat.S_IFREG | 0o755, "has a mode"),
        (0, "has a mode"),
    ],
)
def test_links_folders_devices_and_odd_modes_are_refused(mode: int, said: str) -> None:
    assert said in refusal(with_entry(entry("x.txt", mode), b"lamp.yaml"))


@pytest.mark.parametrize("how", [zipfile.ZIP_DEFLATED, zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_compression_is_refused_and_with_it_every_file_that_swells_up(how: int) -> None:
    bomb = with_entry(entry("x.txt", compression=how), bytes(20_000_000))
    assert len(bomb) < 200_000
    assert "is compressed" in refusal(bomb)


def test_an_archive_inside_is_refused_whatever_it_is_called() -> None:
    inner = packed(SOUND)
    assert "does not begin like one" in refusal(with_entry(entry("x.png"), inner))
    assert "is called a text and is none" in refusal(with_entry(entry("x.txt"), b"PK\3\4\xff\xfe"))


def changed_in_directory(find: bytes, at: int, put: bytes) -> bytes:
    """Change a field of the directory's entry that has this name."""
    content = packed(SOUND)
    begin = content.index(find, directory_at(content)) - 46
    return content[: begin + at] + put + content[begin + at + len(put) :]


@pytest.mark.parametrize(
    "what, at, put, said",
    [
        ("encrypted", 8, b"\x01\0", "is encrypted"),
        ("strongly encrypted", 8, b"\x41\0", "is encrypted"),
        ("unknown compression", 10, b"\x63\0", "is compressed"),
        ("size too large", 24, struct.pack("<L", 10**9), "has two sizes"),
        ("both sizes too large", 20, struct.pack("<LL", 10**9, 10**9), "add up to more"),
        ("both sizes too small", 20, struct.pack("<LL", 3, 3), "damaged"),
        ("sizes of zip64", 20, struct.pack("<LL", 0xFFFFFFFF, 0xFFFFFFFF), "damaged|add up"),
        ("checksum", 16, b"\0\0\0\0", "damaged"),
        ("starts elsewhere", 42, struct.pack("<L", 0), "damaged"),
        ("starts behind the end", 42, struct.pack("<L", 10**9), "damaged"),
        ("other date", 12, b"\1\1\1\1", "changed since"),
        ("other system", 5, b"\0", "changed since|has a mode"),
        ("needs a newer reader", 6, b"\xff\0", "damaged"),
        ("on another disk", 34, b"\1\0", "changed since"),
        ("has an extra field that is not there", 30, b"\x08\0", "damaged"),
    ],
)
def test_a_lie_in_the_directory_is_refused(what: str, at: int, put: bytes, said: str) -> None:
    found = refusal(changed_in_directory(b"lamp.yaml", at, put))
    assert re.search(said, found), (what, found)


def test_what_was_cut_off_or_added_is_noticed() -> None:
    content = packed(SOUND)
    for at in range(len(content)):
        refusal(content[:at])
    for more in (b"\0", b"PK", content, b"PK\5\6" + bytes(18)):
        assert refusal(content + more)
        assert refusal(more + content)
    assert "no bundle" in refusal(b"#!/bin/sh\n" + content)
    with_comment = content[:-2] + b"\4\0evil"
    assert refusal(with_comment)


def test_what_stands_between_the_members_is_noticed() -> None:
    content = packed(SOUND)
    start = directory_at(content)
    end = struct.pack("<L", start + 4)
    hidden = content[:start] + b"evil" + content[start:-6] + end + content[-2:]
    assert "changed since it was packed" in refusal(hidden)


def test_too_many_files_are_refused_by_what_the_end_says_and_by_what_is_there() -> None:
    many = [(f"{number}.txt", b"") for number in range(MOST + 1)]
    assert "files" in refusal(with_names(*(name for name, _ in many)))
    content = packed(SOUND)
    count = struct.pack("<HH", 0xFFFF, 0xFFFF)
    assert "65535 files" in refusal(content[:-14] + count + content[-10:])


@pytest.mark.parametrize(
    "files, listed, said",
    [
        ([("lamp.yaml", RULES), ("x.txt", b"x")], [("lamp.yaml", RULES)], "not in its list"),
        ([("lamp.yaml", RULES)], [("lamp.yaml", RULES), ("x.txt", b"x")], "in its list and not in it"),
        ([("lamp.yaml", RULES)], [("lamp.yaml", RULES + b"#")], "has not the size"),
        ([("lamp.yaml", RULES)], [("lamp.yaml", RULES[:-1] + b"#")], "is not what was packed"),
    ],
)
def test_list_and_members_must_agree(
    files: list[tuple[str, bytes]], listed: list[tuple[str, bytes]], said: str
) -> None:
    parts = [(entry(LIST), list_of(listed)), *((entry(name), content) for name, content in files)]
    assert said in refusal(zipped(parts))


@pytest.mark.parametrize(
    "listed, said",
    [
        (b"", "is not the list"),
        (b"[" * 100_000, "is not the list"),
        (b'{"canebrake-bundle": ' + b"9" * 10_000 + b"}", "is not the list|newer canebrake"),
        (list_of([("lamp.yaml", RULES)], **{"canebrake-bundle": 2}), "newer canebrake"),
        (list_of([("lamp.yaml", RULES)], **{"canebrake-bundle": 0}), "not written by canebrake"),
        (list_of([("lamp.yaml", RULES)], **{"canebrake-bundle": True}), "is not the list"),
        (list_of([("lamp.yaml", RULES)], rulesets=["../lamp.yaml"]), "not among the rulesets"),
        (list_of([("lamp.yaml", RULES)], rulesets=[]), "no ruleset in it"),
        (list_of([("lamp.yaml", RULES)], rulesets=[["lamp.yaml"]]), "damaged"),
        (list_of([("lamp.yaml", RULES)], title=7), "damaged"),
        (list_of([("lamp.yaml", RULES)], title="\x1b[2J"), "invisible"),
        (list_of([("lamp.yaml", RULES)], title="x" * 1000), "too long"),
        (list_of([("lamp.yaml", RULES)], proposal={"base": "lamp.yaml"}), "damaged"),
        (
            list_of(
                [("lamp.yaml", RULES)], proposal={"base": "lamp.yaml", "theirs": "lamp.yaml", "file": "../x"}
            ),
            "leads out",
        ),
        (list_of([("lamp.yaml", RULES)], more="x"), "not written by canebrake"),
        (list_of([("lamp.yaml", RULES)]).replace(b"\n", b"\r\n"), "not written by canebrake"),
    ],
)
def test_a_list_that_is_wrong_or_spelled_otherwise_is_refused(listed: bytes, said: str) -> None:
    found = refusal(zipped([(entry(LIST), listed), (entry("lamp.yaml"), RULES)]))
    assert re.search(said, found), found


def test_a_zip_file_that_is_no_bundle_is_refused() -> None:
    assert "has no contents.json" in refusal(zipped([(entry("lamp.yaml"), RULES)]))
    assert "no bundle" in refusal(b"")
    assert "no bundle" in refusal(RULES)
    assert "cut short" in refusal(b"PK")


def test_members_in_another_order_are_refused() -> None:
    files = [("lamp.yaml", RULES), ("a.txt", b"x")]
    assert refusal(zipped([(entry(LIST), list_of(files)), *((entry(name), body) for name, body in files)]))


def test_a_name_that_differs_between_member_and_directory_is_refused() -> None:
    content = packed(SOUND)
    head, tail = content[: directory_at(content)], content[directory_at(content) :]
    assert refusal(patched(head, b"lamp.yaml", b"lump.yaml", times=1) + tail)
    assert refusal(head + patched(tail, b"lamp.yaml", b"lump.yaml"))


def test_a_refused_file_leaves_nothing_behind(tmp_path: Path) -> None:
    (tmp_path / "evil.zip").write_bytes(with_names("../x.txt"))
    ran = run_here(["studio", "unpack", str(tmp_path / "evil.zip"), "-o", str(tmp_path / "out")], tmp_path)
    assert (ran.code, ran.out) == (2, "")
    assert "evil.zip is refused: the name '../x.txt' leads out of its folder; nothing was written." in ran.err
    assert [path.name for path in tmp_path.iterdir()] == ["evil.zip"]


def soak(rounds: int, seed: int, folder: Path) -> int:
    """Open mangled bundles and unpack those that are sound; give how many were."""
    dice, taken = random.Random(seed), 0
    inside = folder / "inside"
    for number in range(rounds):
        try:
            bundle = opened(mangled(dice))
        except BundleError:
            continue
        taken += 1
        judged(bundle.files)
        target = inside / f"{number}"
        inside.mkdir(exist_ok=True)
        assert write_folder(target, bundle.files)
        found = {path.relative_to(target).as_posix() for path in target.rglob("*") if not path.is_dir()}
        assert found == set(bundle.files), number
        assert not any(path.is_symlink() for path in target.rglob("*"))
        for path in sorted(target.rglob("*"), reverse=True):
            path.unlink() if path.is_file() else path.rmdir()
        target.rmdir()
        assert [path.name for path in folder.iterdir()] == ["inside"], number
        assert not list(inside.iterdir()), number
    return taken


def test_mangled_bundles_write_nothing_outside_their_folder(tmp_path: Path) -> None:
    assert 20 < soak(2000, 7, tmp_path) < 1000


@pytest.mark.long
def test_fifty_thousand_mangled_bundles_write_nothing_outside_their_folder(tmp_path: Path) -> None:
    assert soak(50_000, 11, tmp_path) > 500
