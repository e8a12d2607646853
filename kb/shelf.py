"""Where rulesets are found: a file and its neighbours, those that ship, and those taken from studios.

Separate from `kb.load`, which takes bytes and asks a resolver: this module is the resolver.
The rulesets that ship are plain files in a package beside this one: `importlib.resources`, which
could also look into archives, costs 6 ms more, and is not asked.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Final

from kb.bases import Offered, Resolver, Wanted
from kb.disk import DiskError, Stamp, read_bounded, stamp
from kb.home import studios_home

if TYPE_CHECKING:
    from kb.taken import Studio  # loads json, which most commands do not need

_HEAD: Final = re.compile(
    r"^(id|version|title|instrument|language): *(?:'([^'\n]*)'|\"([^\"\n]*)\"|([^#\n]*?)) *(?:#.*)?\r?$",
    re.MULTILINE,
)
"""The lines at the left margin that say what a ruleset is. Shipped rulesets write them so; a test
holds that this and the whole reader agree on each of them."""


_RULES: Final = (".yaml", ".yml")
_MOST_NEIGHBOURS: Final = 300
_HEAD_BYTES: Final = 64 * 1024


@dataclass(frozen=True, slots=True)
class Installed:
    """A ruleset that ships or was taken from a studio: what it is, and its text."""

    id: str
    version: str
    title: str
    instrument: str
    name: str
    """Its file's name."""
    content: bytes
    studio: str = ""
    """From which studio it was taken; empty for one that ships."""
    folder: Path | None = None
    """Where a studio's file lies, with what it extends beside it."""

    @property
    def base(self) -> "Resolver":
        """Finds what it extends."""
        return by_id if self.folder is None else beside(self.folder)


def installed() -> tuple[Installed, ...]:
    """List the rulesets that ship, then those of studios, by id. Reads their heads and judges nothing."""
    return (*shipped(), *taken())


def taken() -> tuple[Installed, ...]:
    """List the rulesets taken from studios. Raises `DiskError` when their list cannot be read."""
    home = studios_home()
    seen = None if home is None else stamp(home / "studios.json")
    if home is None or seen is None:
        return ()
    studios = _studios(home, seen)
    stamps = tuple(stamp(studio.now.at(home) / file.name) for studio in studios for file in studio.now.files)
    return _taken(home, studios, stamps)


@lru_cache(maxsize=4)
def _studios(home: Path, _seen: Stamp) -> "tuple[Studio, ...]":
    from kb.taken import read_lock  # noqa: PLC0415 - most makers have no studio

    return read_lock(home).studios


@lru_cache(maxsize=4)
def _taken(
    home: Path, studios: "tuple[Studio, ...]", _stamps: tuple[Stamp | None, ...]
) -> tuple[Installed, ...]:
    found = []
    for studio in studios:
        for file in studio.now.files:
            path = studio.now.at(home) / file.name
            content = read_bounded(path)
            if sha256(content).hexdigest() != file.sha256:
                raise DiskError(
                    f"{path} is not what was taken from {studio.name}; forget it and get it again"
                )
            if not file.id:
                continue
            head = _head(content)
            title, instrument = head.get("title", ""), head.get("instrument", "")
            found.append(
                Installed(
                    file.id, file.version, title, instrument, file.name, content, studio.name, path.parent
                )
            )
    return tuple(sorted(found, key=lambda one: (one.id, one.studio, one.version)))


@cache
def shipped() -> tuple[Installed, ...]:
    """List the rulesets that ship, by id."""
    import rulesets  # noqa: PLC0415  (only for rulesets named by id)

    found = []
    for entry in Path(rulesets.__path__[0]).iterdir():
        if entry.name.endswith(_RULES) and entry.is_file():
            content = entry.read_bytes()
            head = _head(content)
            found.append(
                Installed(
                    head.get("id", ""),
                    head.get("version", ""),
                    head.get("title", ""),
                    head.get("instrument", ""),
                    entry.name,
                    content,
                )
            )
    return tuple(sorted(found, key=lambda one: (one.id, one.version)))


def _head(content: bytes) -> Mapping[str, str]:
    text = content.decode("utf-8-sig", "replace")
    return {
        match[1]: match[2] or match[3] or match[4] or "" for match in reversed(list(_HEAD.finditer(text)))
    }


def by_id(wanted: Wanted) -> Offered | None:
    """Find a base among the rulesets that ship, by id and version or by its file's name; else of studios.

    What ships comes first: no studio can put another text under the id and version of one that
    ships. Raises `DiskError` when two studios mean different texts by one id and version.
    """
    ships = _shipped(wanted)
    if ships is not None:
        return ships
    found = [one for one in taken() if (one.id, one.version) == (wanted.id, wanted.version)]
    if len({one.content for one in found}) > 1:
        names = " and ".join(one.studio for one in found)
        raise DiskError(f"the studios {names} each have another {wanted}; copy the one that is meant")
    return Offered(found[0].name, found[0].content, found[0].base) if found else None


def _shipped(wanted: Wanted) -> Offered | None:
    for one in shipped():
        if one.name == wanted.file or (one.id and (one.id, one.version) == (wanted.id, wanted.version)):
            return Offered(one.name, one.content, by_id)
    return None


def beside(folder: Path) -> Resolver:
    """Find a base given by its file's name in `folder`; one given by id among those that ship, then there.

    What was shared together so stays together, and an id that ships means what ships.
    """

    def find(wanted: Wanted) -> Offered | None:
        if not wanted.file:
            return _shipped(wanted) or _neighbour(wanted, folder) or by_id(wanted)
        path = folder / wanted.file
        if not path.exists():
            return None
        if path.is_symlink() and path.resolve().parent != folder.resolve():
            raise DiskError(f"{wanted.file!r} is a link that leaves its folder")
        return Offered(str(path), read_bounded(path), find)

    return find


def _neighbour(wanted: Wanted, folder: Path) -> Offered | None:
    """Look through a folder for a ruleset that says it has this id and version."""
    try:
        paths = sorted(path for path in folder.iterdir() if path.name.endswith(_RULES) and path.is_file())
    except OSError:
        return None
    for path in paths[:_MOST_NEIGHBOURS]:
        try:
            with path.open("rb") as stream:
                begin = stream.read(_HEAD_BYTES)
        except OSError:
            continue
        if not path.is_symlink() and _named_so(wanted, {path.name: begin}) is not None:
            return Offered(str(path), read_bounded(path), beside(folder))
    return None


def among(files: Mapping[str, bytes], folder: str = "") -> Resolver:
    """Find a base among `files` that are held in memory, as `beside` finds it in `folder` on a disk."""

    def find(wanted: Wanted) -> Offered | None:
        neighbours = {name: content for name, content in files.items() if _folder(name) == folder}
        if wanted.file:
            name = f"{folder}/{wanted.file}" if folder else wanted.file
            return Offered(name, files[name], find) if name in files else None
        ships, named = _shipped(wanted), _named_so(wanted, neighbours)
        if ships is None and named is not None:
            return Offered(named, files[named], find)
        return ships or by_id(wanted)

    return find


def _folder(name: str) -> str:
    return name.rpartition("/")[0]


def _named_so(wanted: Wanted, neighbours: Mapping[str, bytes]) -> str | None:
    """Give the neighbour that says it has this id and version. The whole reader judges it afterwards."""
    for name, content in sorted(neighbours.items()):
        if name.endswith(_RULES):
            head = _head(content)
            if (head.get("id"), head.get("version")) == (wanted.id, wanted.version):
                return name
    return None
