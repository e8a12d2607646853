"""Bundles as nobody honest would make them: right in everything but one thing, or mangled at random."""

import json
import random
import stat
import struct
import warnings
import zipfile
import zlib
from collections.abc import Callable, Sequence
from hashlib import sha256
from io import BytesIO
from typing import Any, Final

from kb.bundle.archive import packed
from kb.bundle.contents import LIST, Bundle, Member

RULES: Final = b"canebrake: 1\nid: lamp\ntitle: A lamp\nversion: 1.0.0\n\
priorities: []\nsymptoms: {}\ncauses: {}\nremedies: {}\n"
SOUND: Final = Bundle(
    "A lamp", (Member("lamp.yaml", RULES), Member("read-me.txt", b"Hello.\n")), ("lamp.yaml",), ("CC0-1.0",)
)


def list_of(files: Sequence[tuple[str, bytes]], **instead: Any) -> bytes:
    """Give a list that agrees with the files, whatever they are called."""
    said = {
        "canebrake-bundle": 1,
        "title": "A lamp",
        "licences": ["CC0-1.0"],
        "rulesets": ["lamp.yaml"],
        "proposal": None,
        "members": [
            {"name": name, "size": len(content), "sha256": sha256(content).hexdigest()}
            for name, content in files
        ],
    }
    return (json.dumps({**said, **instead}, indent=1) + "\n").encode()


def entry(
    name: str, mode: int = stat.S_IFREG | 0o644, compression: int = zipfile.ZIP_STORED
) -> zipfile.ZipInfo:
    """Give an entry as canebrake writes one, but of any name, mode and compression."""
    made = zipfile.ZipInfo("x", (1980, 1, 1, 0, 0, 0))
    made.filename = made.orig_filename = name  # past the constructor, which mends names
    made.create_system, made.external_attr, made.compress_type = 3, mode << 16, compression
    return made


def zipped(parts: Sequence[tuple[zipfile.ZipInfo, bytes]]) -> bytes:
    """Make a zip file of entries, in this order."""
    made = BytesIO()
    with warnings.catch_warnings(action="ignore"), zipfile.ZipFile(made, "w") as archive:  # of names twice
        for one, content in parts:
            archive.writestr(one, content, one.compress_type)
    return made.getvalue()


def with_names(*names: str) -> bytes:
    """Make a bundle that is sound but for members of these names."""
    files = sorted([("lamp.yaml", RULES), *((name, b"x") for name in names)])
    return zipped([(entry(LIST), list_of(files)), *((entry(name), content) for name, content in files)])


def with_entry(one: zipfile.ZipInfo, content: bytes) -> bytes:
    """Make a bundle that is sound but for how one member is kept."""
    files = [("lamp.yaml", RULES), (one.filename, content)]
    return zipped([(entry(LIST), list_of(files)), (entry("lamp.yaml"), RULES), (one, content)])


def patched(content: bytes, find: bytes, put: bytes, *, times: int = -1) -> bytes:
    """Replace bytes by as many others."""
    assert len(find) == len(put)
    assert find in content
    return content.replace(find, put, times)


def directory_at(content: bytes) -> int:
    """Give where the directory of a zip file begins, or half-way where it does not say."""
    said = int(struct.unpack("<L", content[-6:-2])[0])
    return said if said < len(content) else len(content) // 2


def _flip(dice: random.Random, content: bytes) -> bytes:
    made = bytearray(content)
    for _ in range(dice.choice((1, 1, 2, 8))):
        made[dice.randrange(len(made))] = dice.randrange(256)
    return bytes(made)


def _in_directory(dice: random.Random, content: bytes) -> bytes:
    at = dice.randrange(directory_at(content), len(content))
    return content[:at] + dice.choice((b"\0", b"\xff", b"/", b"\\", b"\x01")) + content[at + 1 :]


def _cut(dice: random.Random, content: bytes) -> bytes:
    return content[: dice.randrange(len(content))]


def _grown(dice: random.Random, content: bytes) -> bytes:
    at = dice.choice((0, len(content), dice.randrange(len(content))))
    return content[:at] + dice.randbytes(dice.randrange(1, 40)) + content[at:]


def _doubled(dice: random.Random, content: bytes) -> bytes:
    begin = dice.randrange(len(content))
    end = dice.randrange(begin, len(content))
    return content[:end] + content[begin:end] + content[end:]


_PIECES: Final = (
    "..", ".", "", "/", "\\", "a", "A", "lamp.yaml", "con", "nul.txt", "C:", "x.txt", "x.TXT", "ä.txt",
    "a\u0308.txt", "..\\", "~", "$HOME", "x.txt.", " x.txt", "x\0.txt", "\u202egnp.txt", "…", "‥", "／",
    "ﬁ.txt", "fi.txt", "-rf", ".git", "hooks", "rules", "long" * 40,
)  # fmt: skip


def _renamed(dice: random.Random, _content: bytes) -> bytes:
    """Make one with odd names, whose list agrees with them: only the names can be refused."""
    names = ["/".join(dice.choices(_PIECES, k=dice.randint(1, 3))) for _ in range(dice.randint(1, 3))]
    files = [("lamp.yaml", RULES), *((f"{name}{dice.choice(('', '.txt'))}", b"x") for name in names)]
    if dice.random() < 0.7:
        files.sort()
    mode = dice.choice(
        (stat.S_IFREG | 0o644,) * 6 + (stat.S_IFLNK | 0o777, stat.S_IFDIR | 0o755, 0, 0o100777)
    )
    stored = dice.choice((zipfile.ZIP_STORED,) * 6 + (zipfile.ZIP_DEFLATED, zipfile.ZIP_LZMA))
    return zipped(
        [(entry(LIST), list_of(files)), *((entry(name, mode, stored), body) for name, body in files)]
    )


def _relisted(dice: random.Random, _content: bytes) -> bytes:
    """Make one whose list is mangled as JSON, in a zip file that is sound."""
    files = [("lamp.yaml", RULES)]
    words: Sequence[Any] = (
        None,
        0,
        2,
        -1,
        "x",
        [],
        {},
        [[]],
        "lamp.yaml",
        ["lamp.yaml"],
        1e308,
        True,
        "../x",
    )
    keys = ("canebrake-bundle", "title", "licences", "rulesets", "proposal", "members")
    listed = list_of(files, **{dice.choice(keys): dice.choice(words)})
    if dice.random() < 0.3:
        listed = _flip(dice, listed)
    return zipped([(entry(LIST), listed), (entry("lamp.yaml"), RULES)])


def _resummed(dice: random.Random, content: bytes) -> bytes:
    """Change a member and mend its checksums: only the digest in the list can tell."""
    other = bytearray(RULES)
    other[dice.randrange(len(other))] ^= 1 << dice.randrange(8)
    old, new = (struct.pack("<L", zlib.crc32(one)) for one in (RULES, bytes(other)))
    return content.replace(RULES, bytes(other)).replace(old, new)


_WAYS: Final[tuple[Callable[[random.Random, bytes], bytes], ...]] = (
    _flip, _flip, _in_directory, _in_directory, _cut, _grown, _doubled, _renamed, _renamed,
    _relisted, _resummed,
)  # fmt: skip


def mangled(dice: random.Random) -> bytes:
    """Make a bundle that is wrong in one or several ways, or only odd."""
    content = packed(SOUND)
    for _ in range(dice.choice((1, 1, 1, 2))):
        if len(content) > 30:
            content = dice.choice(_WAYS)(dice, content)
    return content
