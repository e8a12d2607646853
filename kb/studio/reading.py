"""What a place offers: its rulesets, read and judged by name and size before anything is kept of them."""

import os
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from kb.bundle.archive import opened
from kb.bundle.contents import LARGEST, MOST, BundleError, Member, check_kind, check_name, is_ruleset
from kb.disk import LIMIT, DiskError, read_bounded
from kb.filenames import MOST_PARTS, clash_of
from kb.studio.git import Repository, TreeEntry, repository
from kb.studio.places import Kind, Place

_MOST_ENTRIES: Final = 2000
"""Files and folders that are looked at in one place."""
_OURS: Final = re.compile(rb"(?m)^(?:\xef\xbb\xbf)?\{?[ \t]*[\"']?canebrake[\"']?[ \t]*:")
"""The key that every ruleset has; YAML that lacks it belongs to other programs."""
_LINK, _SUBMODULE, _FOLDER = "120000", "160000", "040000"


@dataclass(frozen=True, slots=True)
class Offer:
    """The rulesets of a place as they are now."""

    files: Mapping[str, bytes]
    commit: str = ""


def offered(place: Place, home: Path, environ: Mapping[str, str]) -> Offer:
    """Read a place. Raises `DiskError`, with the reason, when it is not to be had or not to be trusted."""
    match place.kind:
        case Kind.FOLDER:
            return Offer(_judged(place, dict(_in_folder(Path(place.where)))))
        case Kind.BUNDLE:
            try:
                return Offer(_judged(place, opened(read_bounded(Path(place.where), LARGEST)).files))
            except BundleError as fault:
                raise DiskError(f"{place.where} is refused: {fault}") from fault
        case _:
            with repository(home, environ) as taken:
                return offered_by_git(place, taken)


def offered_by_git(place: Place, taken: Repository) -> Offer:
    """Read a git repository into one of ours, and its rulesets from there."""
    commit = taken.fetched(place.where)
    files = dict(_in_commit(place.where, taken, commit)) if commit else {}
    return Offer(_judged(place, files), commit)


def _judged(place: Place, files: Mapping[str, bytes]) -> Mapping[str, bytes]:
    """Hold that all that would be kept has safe names, kinds and sizes."""
    ours = {
        name: content
        for name, content in files.items()
        if place.kind is Kind.BUNDLE or (is_ruleset(name) and _OURS.search(content))
    }
    try:
        for name, content in ours.items():
            check_name(name)
            check_kind(Member(name, content))
    except BundleError as fault:
        raise DiskError(f"{place.where} is refused: {fault}") from fault
    clash = clash_of(ours)
    if clash:
        raise DiskError(f"{place.where} is refused: {clash}")
    if len(ours) > MOST:
        raise DiskError(f"{place.where} is refused: it holds more than {MOST} rulesets")
    return dict(sorted(ours.items()))


def _in_folder(folder: Path) -> Iterator[tuple[str, bytes]]:
    """Read the YAML files of a folder and of those in it; what is hidden is left alone, a link refused."""
    left, total = [(folder, "", 1)], 0
    seen = 0
    while left:
        at, prefix, depth = left.pop()
        for entry in _listed(at):
            seen += 1
            _check_count(folder, seen)
            if entry.name.startswith("."):
                continue
            name = prefix + entry.name
            if entry.is_symlink() and (is_ruleset(name) or entry.is_dir()):
                raise DiskError(f"{folder} is refused: {name!r} is a link, and links are not followed")
            if entry.is_dir(follow_symlinks=False):
                _check_depth(folder, name, depth)
                left.append((Path(entry.path), f"{name}/", depth + 1))
            elif is_ruleset(name) and entry.is_file(follow_symlinks=False):
                content = read_bounded(Path(entry.path))
                total += len(content)
                _check_size(folder, name, len(content), total)
                yield name, content


def _listed(folder: Path) -> list[os.DirEntry[str]]:
    try:
        with os.scandir(folder) as entries:
            return sorted(entries, key=lambda one: one.name)
    except OSError as error:
        raise DiskError(f"{folder} could not be read: {(error.strerror or str(error)).lower()}") from error


def _in_commit(where: str, taken: Repository, commit: str) -> Iterator[tuple[str, bytes]]:
    """Read the YAML files of a commit; a link or a submodule anywhere is refused, before any file is read."""
    wanted: list[tuple[str, TreeEntry]] = []
    left, seen, total = [(commit, "", 1)], 0, 0
    while left:
        tree, prefix, depth = left.pop()
        entries = taken.entries(tree)
        seen += len(entries)
        _check_count(where, seen)
        for entry in entries:
            name = prefix + entry.name
            if entry.mode == _LINK:
                raise DiskError(f"{where} is refused: {name!r} is a link, and links are not followed")
            if entry.mode == _SUBMODULE:
                raise DiskError(f"{where} is refused: {name!r} is a submodule, a repository in a repository")
            if entry.name.startswith("."):
                continue
            if entry.mode == _FOLDER:
                _check_depth(where, name, depth)
                left.append((entry.sha, f"{name}/", depth + 1))
            elif is_ruleset(name):
                total += entry.size
                _check_size(where, name, entry.size, total)
                wanted.append((name, entry))
    for name, entry in wanted:
        yield name, taken.blob(entry.sha)


def _check_count(where: object, seen: int) -> None:
    if seen > _MOST_ENTRIES:
        raise DiskError(f"{where} is refused: it holds more than {_MOST_ENTRIES} files and folders")


def _check_depth(where: object, name: str, depth: int) -> None:
    if depth >= MOST_PARTS:
        raise DiskError(f"{where} is refused: {name[:200]!r} lies too deep")


def _check_size(where: object, name: str, size: int, total: int) -> None:
    if size > LIMIT:
        raise DiskError(f"{where} is refused: {name!r} is larger than {LIMIT // 1024**2} MiB")
    if total > LARGEST:
        raise DiskError(f"{where} is refused: its rulesets are larger than {LARGEST // 1024**2} MiB together")
