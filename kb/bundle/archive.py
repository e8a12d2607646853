"""A bundle as one zip file, and back: the whole file is judged before anything is made of it.

Any program opens the file, but only one spelling of it is taken: members in order, stored and not
compressed, with one fixed date and mode and nothing between or behind them. Packing what was read
must give the same bytes again. So nothing can hide in it, no size can lie, nothing can swell up,
and the same input has the same fingerprint on every machine (compressors differ, storing does not).
"""

import stat
import struct
import zipfile
import zlib
from hashlib import sha256
from io import BytesIO
from typing import Final

from kb.bundle.contents import (
    LARGEST,
    LIST,
    MOST,
    Bundle,
    BundleError,
    bundle_of,
    check_name,
    listed,
    read_list,
)
from kb.filenames import LONGEST_NAME, clash_of

DIGITS: Final = 40
"""Of a fingerprint: 132 bits (log2 of 10 to the power of 40) of the file's sha256."""
_GROUP: Final = 5
_DATE: Final = (1980, 1, 1, 0, 0, 0)
"""The first that a zip file knows."""
_MODE: Final = stat.S_IFREG | 0o644
_UNIX: Final = 3
_END: Final = struct.Struct("<4s4H2LH")
"""The last 22 bytes of a zip file without a comment (PKWARE, APPNOTE.TXT 4.3.16)."""
_ENTRY: Final = 46
"""Bytes of an entry in the directory at its end, without its name (the same, 4.3.12)."""
_ENCRYPTED: Final = 0x1 | 0x40 | 0x2000
_NOT_ZIP: Final = (
    zipfile.BadZipFile,
    zipfile.LargeZipFile,
    NotImplementedError,
    RuntimeError,
    EOFError,
    OSError,
    OverflowError,
    ValueError,
    IndexError,
    KeyError,
    struct.error,
    zlib.error,
)
"""What the reader of zip files raises for bytes that are none, one way or another."""
_DAMAGED: Final = "it is damaged, or is no bundle: its parts do not fit together"


def packed(bundle: Bundle) -> bytes:
    """Make one file of a bundle; the same bundle gives the same bytes. Raises `BundleError`."""
    whole = bundle_of(bundle)
    made = BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_STORED) as archive:
        for name, content in ((LIST, listed(whole)), *whole.files.items()):
            entry = zipfile.ZipInfo(name, _DATE)
            entry.create_system, entry.external_attr = _UNIX, _MODE << 16
            archive.writestr(entry, content)
    return made.getvalue()


def opened(content: bytes) -> Bundle:
    """Read a bundle. Raises `BundleError`, with the first thing that is wrong, unless all of it is sound."""
    _check_ends(content)
    try:
        with zipfile.ZipFile(BytesIO(content)) as archive:
            entries = archive.infolist()
            _check_entries(entries, len(content))
            files = {entry.orig_filename: archive.read(entry) for entry in entries}
    except _NOT_ZIP:
        raise BundleError(_DAMAGED) from None
    if LIST not in files:
        raise BundleError(f"it is a zip file and no bundle: it has no {LIST}")
    bundle = read_list(files.pop(LIST), files)
    if packed(bundle) != content:
        raise BundleError("it was changed since it was packed, or packed by another program")
    return bundle


def _check_ends(content: bytes) -> None:
    """Hold that the file begins and ends as a bundle does, before a reader works through it."""
    if len(content) > LARGEST:
        raise BundleError(f"it is larger than {LARGEST // 1024**2} MiB")
    if not content.startswith(b"PK"):
        raise BundleError("it is no bundle")
    if len(content) < _END.size:
        raise BundleError("it is cut short")
    mark, disk, first, here, count, size, offset, comment = _END.unpack(content[-_END.size :])
    if mark != b"PK\5\6":
        raise BundleError("it is cut short, or something was added behind its end")
    if count > MOST + 1:  # 65,535 stands for more than fit the field
        raise BundleError(f"it says that it holds {count} files; {MOST + 1} are the most")
    if (disk, first, here, comment) != (0, 0, count, 0) or offset + size + _END.size != len(content):
        raise BundleError(_DAMAGED)
    if size > count * (_ENTRY + LONGEST_NAME + 64):
        raise BundleError(_DAMAGED)


def _check_entries(entries: list[zipfile.ZipInfo], length: int) -> None:
    """Hold that every member may be read at all."""
    for entry in entries:
        name = entry.orig_filename  # as it is written; `filename` is cut at a NUL
        check_name(name.removesuffix("/") if len(name) > 1 else name)
        mode = entry.external_attr >> 16
        if stat.S_ISLNK(mode):
            raise BundleError(f"{name!r} is a link")
        if name.endswith("/") or stat.S_ISDIR(mode):
            raise BundleError(f"{name!r} is a folder; a bundle holds files alone")
        if mode != _MODE:
            raise BundleError(f"{name!r} has a mode that no shared file needs ({mode:o})")
        if entry.flag_bits & _ENCRYPTED:
            raise BundleError(f"{name!r} is encrypted")
        if entry.compress_type != zipfile.ZIP_STORED:
            raise BundleError(f"{name!r} is compressed; a bundle stores its files as they are")
        if entry.file_size != entry.compress_size:
            raise BundleError(f"{name!r} has two sizes")
    if sum(entry.file_size for entry in entries) > length:
        raise BundleError("its sizes add up to more than it holds")
    clash = clash_of(entry.orig_filename for entry in entries)
    if clash:
        raise BundleError(clash)


def fingerprint(content: bytes) -> str:
    """Give 40 digits of a file's sha256 in groups of five, to be read to each other over the telephone.

    >>> fingerprint(b"")
    '65749 78082 58904 19949 21905 00282 67807 93365'
    """
    number = int.from_bytes(sha256(content).digest()) % 10**DIGITS
    digits = f"{number:0{DIGITS}}"
    return " ".join(digits[at : at + _GROUP] for at in range(0, DIGITS, _GROUP))
