"""What was taken from which studio: the lock file `studios.json` in the user's data folder.

It is the whole truth about studios: a version counts once its line is here, and its files lie in
`studios/DIGEST` beside it, written whole before. So a kill at any moment leaves the version before,
or the new one. The file is plain JSON, written whole or not at all; docs/reference/studios.md
explains every key.
"""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from hashlib import sha256
from pathlib import Path
from typing import Final, Self

from kb.disk import DiskError, read_bounded, write_whole
from kb.filenames import clash_of, fault_of

FILE: Final = "studios.json"
FOLDER: Final = "studios"
FORMAT: Final = 1
KEPT: Final = 10
"""Versions before the present one that can be gone back to."""
_COPIES: Final = 200
_LARGEST: Final = 16 * 1024 * 1024


@dataclass(frozen=True, slots=True)
class TakenFile:
    """One file of a version. `id` and `version` are empty unless it is a ruleset."""

    name: str
    sha256: str
    id: str = ""
    version: str = ""


@dataclass(frozen=True, slots=True)
class Version:
    """What a studio offered at one time."""

    digest: str
    """sha256 over names and digests of its files; the name of its folder begins with it."""
    taken: str
    """When, in ISO 8601."""
    files: tuple[TakenFile, ...]
    commit: str = ""
    """Of a git repository, which commit it was."""

    def at(self, home: Path) -> Path:
        """Give the folder that holds its files."""
        return folder_of(home, self.digest)


@dataclass(frozen=True, slots=True)
class Studio:
    """A place that rulesets are taken from, under the name that the user gave it."""

    name: str
    kind: str
    """folder, git, or bundle."""
    where: str
    now: Version
    before: tuple[Version, ...] = ()
    """What was taken earlier, the latest first."""
    pinned: bool = False

    def with_version(self, version: Version) -> Self:
        """Give it after an update."""
        return replace(self, now=version, before=(self.now, *self.before)[:KEPT])


@dataclass(frozen=True, slots=True)
class Copied:
    """A file that was copied out to be corrected, and from which version."""

    file: str
    studio: str
    name: str
    digest: str


@dataclass(frozen=True, slots=True)
class LockFile:
    """All studios by name, and the copies."""

    studios: tuple[Studio, ...] = ()
    copies: tuple[Copied, ...] = ()

    def studio(self, name: str) -> Studio | None:
        """Give the studio of this name, if there is one."""
        return next((one for one in self.studios if one.name == name), None)

    def with_studio(self, studio: Studio) -> Self:
        """Give it with a studio added or replaced."""
        others = [one for one in self.studios if one.name != studio.name]
        return replace(self, studios=tuple(sorted([*others, studio], key=lambda one: one.name)))

    def without_studio(self, name: str) -> Self:
        """Give it without a studio."""
        return replace(self, studios=tuple(one for one in self.studios if one.name != name))

    def with_copy(self, copy: Copied) -> Self:
        """Give it with a copy added, or replaced."""
        others = [one for one in self.copies if one.file != copy.file]
        return replace(self, copies=tuple([*others, copy][-_COPIES:]))

    def versions(self) -> Iterable[Version]:
        """Give all versions of all studios."""
        return (one for studio in self.studios for one in (studio.now, *studio.before))


def folder_of(home: Path, digest: str) -> Path:
    """Give the folder that holds the files of the version with this digest."""
    return home / FOLDER / digest[:32]


def digest_of(files: Mapping[str, bytes]) -> str:
    """Give the digest of a version by its files."""
    lines = (f"{name}\0{sha256(files[name]).hexdigest()}\n" for name in sorted(files))
    return sha256("".join(lines).encode()).hexdigest()


def read_lock(home: Path) -> LockFile:
    """Read the lock file; none is one without studios. Raises `DiskError` when it cannot be used."""
    path = home / FILE
    if not path.exists():
        return LockFile()
    content = read_bounded(path, _LARGEST)
    try:
        said = json.loads(content)
        number = said["canebrake-studios"]
        if number == FORMAT:
            studios = tuple(_studio(name, one) for name, one in said["studios"].items())
            copies = tuple(_copied(one) for one in said["copies"])
            return LockFile(studios, copies)
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        number = None
    if isinstance(number, int) and number > FORMAT:
        raise DiskError(
            f"{path} was written by a newer canebrake (its format is {number}); use the newer one"
        )
    raise DiskError(f"{path} is damaged; move it away and get your studios again")


def write_lock(home: Path, lock: LockFile) -> None:
    """Write the lock file, whole or not at all. Raises `DiskError`."""
    said = {
        "canebrake-studios": FORMAT,
        "studios": {studio.name: _written(studio) for studio in lock.studios},
        "copies": [
            {"file": one.file, "studio": one.studio, "name": one.name, "digest": one.digest}
            for one in lock.copies
        ],
    }
    write_whole(home / FILE, (json.dumps(said, indent=1, ensure_ascii=False) + "\n").encode())


def _written(studio: Studio) -> dict[str, object]:
    return {
        "kind": studio.kind,
        "where": studio.where,
        "pinned": studio.pinned,
        "now": _written_version(studio.now),
        "before": [_written_version(one) for one in studio.before],
    }


def _written_version(version: Version) -> dict[str, object]:
    return {
        "taken": version.taken,
        "commit": version.commit,
        "digest": version.digest,
        "files": [
            {"name": one.name, "sha256": one.sha256, "id": one.id, "version": one.version}
            for one in version.files
        ],
    }


def _copied(said: object) -> Copied:
    if not isinstance(said, dict):
        raise TypeError
    name = _text(said["name"])
    if fault_of(name):
        raise ValueError
    return Copied(_text(said["file"]), _text(said["studio"]), name, _digest(said["digest"]))


def _studio(name: str, said: Mapping[str, object]) -> Studio:
    before = said["before"]
    if not isinstance(before, list):
        raise TypeError
    return Studio(
        _text(name),
        _text(said["kind"]),
        _text(said["where"]),
        _version(said["now"]),
        tuple(_version(one) for one in before),
        said["pinned"] is True,
    )


def _version(said: object) -> Version:
    if not isinstance(said, dict):
        raise TypeError
    names = [_text(one["name"]) for one in said["files"]]
    if any(map(fault_of, names)) or clash_of(names):
        raise ValueError  # it would lead out of its folder
    files = tuple(
        TakenFile(_text(one["name"]), _text(one["sha256"]), _text(one["id"]), _text(one["version"]))
        for one in said["files"]
    )
    return Version(_digest(said["digest"]), _text(said["taken"]), files, _text(said["commit"]))


def _digest(said: object) -> str:
    digest = _text(said)
    if not (len(digest) == 64 and digest.isascii() and digest.isalnum()):
        raise ValueError
    return digest


def _text(said: object) -> str:
    if not isinstance(said, str):
        raise TypeError
    return said
