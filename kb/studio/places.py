"""Which places rulesets are taken from: a folder, a packed file, or a git repository over a safe way.

A list of what may be, not of what may not: git knows ways (`ext::`, helpers by name, options in
the place of an address) that run what the address says.
"""

import re
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Final

from kb.disk import DiskError
from kb.letters import HIDDEN


class Kind(StrEnum):
    """How a place is read."""

    FOLDER = "folder"
    BUNDLE = "bundle"
    GIT = "git"


@dataclass(frozen=True, slots=True)
class Place:
    """Where rulesets are."""

    kind: Kind
    where: str
    """An absolute path, or an address that git knows."""


_HOST: Final = r"[A-Za-z0-9](?:[A-Za-z0-9.-]*[A-Za-z0-9])?"
_PATH: Final = r"[A-Za-z0-9._~/+@%-]+"
_ADDRESSES: Final = (
    re.compile(rf"https://{_HOST}(?::[0-9]{{1,5}})?/{_PATH}"),
    re.compile(rf"ssh://(?:[A-Za-z0-9_][A-Za-z0-9_.-]*@)?{_HOST}(?::[0-9]{{1,5}})?/{_PATH}"),
    re.compile(rf"[A-Za-z0-9_][A-Za-z0-9_.-]*@{_HOST}:(?!-){_PATH}"),
)
"""https and ssh, the latter also as git writes it for short: me@host:path."""
_LONGEST: Final = 400
_WITH_PASSWORD: Final = re.compile(r"[a-z+]+://[^/@]*:[^/@]*@")


def place_of(said: str) -> Place:
    """Say what kind of place the user named. Raises `DiskError` when it is none that is safe."""
    if not said or len(said) > _LONGEST or HIDDEN.search(said) or "\n" in said:
        raise DiskError(f"{said[:60]!r} cannot be a place")
    if _WITH_PASSWORD.match(said):
        raise DiskError("the address holds a password, which would be kept in a plain file; leave it to git")
    if any(address.fullmatch(said) for address in _ADDRESSES):
        return Place(Kind.GIT, said)
    try:
        path = Path(said).expanduser()
        if path.is_dir():
            path = path.resolve()
            return Place(Kind.GIT if _is_repository(path) else Kind.FOLDER, str(path))
        if path.is_file():
            return Place(Kind.BUNDLE, str(path.resolve()))
    except (OSError, RuntimeError, ValueError):
        pass
    if "://" in said or "::" in said or said.startswith("-") or "@" in said:
        raise DiskError(
            f"{said!r} is no address that is used here; https://HOST/PATH, ssh://HOST/PATH and "
            "NAME@HOST:PATH are, and folders and packed files on this machine"
        )
    raise DiskError(f"there is no folder, no packed file and no repository {said!r}")


def _is_repository(path: Path) -> bool:
    if (path / ".git").exists():
        return True
    return (path / "HEAD").is_file() and (path / "objects").is_dir() and (path / "refs").is_dir()
