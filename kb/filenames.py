"""Which names a shared file may have: those that mean the same file, inside its folder, on every system.

Separate because bundles, folders and git repositories all bring names that someone else wrote. A
name is judged before anything is written, by what the strictest of Windows, macOS and Linux allows.
"""

import re
import unicodedata
from collections.abc import Callable, Iterable
from typing import Final

from kb.letters import HIDDEN

MOST_PARTS: Final = 6
"""Folders in one another, and the file."""
LONGEST_PART: Final = 120
"""Bytes in UTF-8; file systems allow 255, and a hidden name for the half-written file needs some."""
LONGEST_NAME: Final = 200
"""Bytes of the whole name; Windows allows about 260 characters, with the folder before it."""

_RESERVED: Final = re.compile(
    r"(con|prn|aux|nul|conin\$|conout\$|clock\$|(com|lpt)[0-9¹²³])(\.|$)", re.IGNORECASE
)
"""Names that Windows gives to devices, with any suffix (Microsoft, "Naming Files, Paths, and Namespaces")."""
_DRIVE: Final = re.compile(r"[A-Za-z]:")
_FORBIDDEN: Final = re.compile(r'[<>:"|?*]')
_INVISIBLE: Final = re.compile(
    "[\t\n\r\u00ad\u034f\u115f\u1160\u17b4\u17b5\u180b-\u180f\u200b-\u200d\u2060-\u206f"
    "\ufe00-\ufe0f\U000e0100-\U000e01ef]"
)
"""What Unicode would ignore in a name (its Default_Ignorable_Code_Point, the likely ones), and line ends."""
_SLASHES: Final = re.compile("[\u2044\u2215\u29f8\uff0f\uff3c\u29f5\ufe68]")
"""Letters that look like a slash, or become one when a system simplifies a name."""


def _is_reserved(part: str) -> bool:
    return any(_RESERVED.match(one) for one in (part, unicodedata.normalize("NFKC", part)))


_OF_WHOLE: Final[tuple[tuple[Callable[[str], object], str], ...]] = (
    (lambda name: not name, "is empty"),
    (lambda name: HIDDEN.search(name) or _INVISIBLE.search(name), "holds an invisible character"),
    (lambda name: "\\" in name, "holds a backslash"),
    (lambda name: name.startswith("/"), "begins at the root of a disk"),
    (_DRIVE.match, "names a drive"),
    (lambda name: len(name.encode()) > LONGEST_NAME, f"is longer than {LONGEST_NAME} bytes"),
    (lambda name: name.count("/") >= MOST_PARTS, f"lies more than {MOST_PARTS - 1} folders deep"),
)
"""What can be wrong with a name, each with the end of a sentence; the first that holds is told."""
_OF_PART: Final[tuple[tuple[Callable[[str], object], str], ...]] = (
    (lambda part: part == "..", "leads out of its folder"),
    (lambda part: part in {"", "."}, "has an empty part"),
    (lambda part: part.startswith("."), "is hidden: it begins with a dot"),
    (_FORBIDDEN.search, 'holds one of < > : " | ? *'),
    (_SLASHES.search, "holds a letter that looks like a slash"),
    (
        lambda part: part[-1] in ". " or part[0] == " ",
        "begins or ends with a space, or ends with a dot",
    ),
    (_is_reserved, "is reserved for a device by Windows"),
    (lambda part: len(part.encode()) > LONGEST_PART, f"has a part of more than {LONGEST_PART} bytes"),
    (
        lambda part: unicodedata.normalize("NFC", part) != part,
        "is spelled with loose accents (not in Unicode's form NFC), as no two systems keep them",
    ),
)
"""The same, of a folder's or a file's own name."""


def fault_of(name: str) -> str:
    """Say what is wrong with the name of a member, as the end of a sentence; empty when nothing is.

    >>> fault_of("rules/bassoon.yaml"), fault_of("../bassoon.yaml")
    ('', 'leads out of its folder')
    """
    wrong = next((said for is_wrong, said in _OF_WHOLE if is_wrong(name)), "")
    parts = () if wrong else name.split("/")
    faults = (said for part in parts for is_wrong, said in _OF_PART if is_wrong(part))
    return wrong or next(faults, "")


def key_of(name: str) -> str:
    """Give what two names share when some system takes one for the other.

    >>> key_of("Straße.yaml") == key_of("STRASSE.yaml")
    True
    """
    folded = unicodedata.normalize("NFKC", name).casefold()
    return unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", folded).casefold())


def clash_of(names: Iterable[str]) -> str:
    """Say which names cannot stand beside each other, as a sentence; empty when all can.

    The same name twice, names that differ only in case or in how Unicode spells them, and a name
    that is a file here and a folder there.
    """
    files: dict[str, str] = {}
    folders: dict[str, str] = {}
    for name in names:
        key = key_of(name)
        if key in files:
            other = files[key]
            if other == name:
                return f"{name!r} is in it twice"
            return f"{other!r} and {name!r} are the same file on some systems"
        files[key] = name
        parts = name.split("/")
        for depth in range(1, len(parts)):
            folder = "/".join(parts[:depth])
            other = folders.setdefault(key_of(folder), folder)
            if other != folder:
                return f"{other!r} and {folder!r} are the same folder on some systems"
    both = next((key for key in files if key in folders), None)
    return "" if both is None else f"{files[both]!r} is a file and a folder at once"
