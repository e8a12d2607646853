"""Taking in what a place offers, keeping it, going back: files first, the line in the lock file last."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from hashlib import sha256
from pathlib import Path

from kb.bundle.judging import Judged, judged
from kb.disk import DiskError, alone, read_bounded, remove_folder, write_folder
from kb.ids import is_well_formed
from kb.studio.places import Kind, Place
from kb.studio.reading import Offer
from kb.taken import (
    FILE,
    FOLDER,
    LockFile,
    Studio,
    TakenFile,
    Version,
    digest_of,
    folder_of,
    read_lock,
    write_lock,
)


@dataclass(frozen=True, slots=True)
class Candidate:
    """What a place offers, judged: a version that could be taken in."""

    version: Version
    files: Mapping[str, bytes]
    judged: tuple[Judged, ...]

    @property
    def broken(self) -> tuple[Judged, ...]:
        """Rulesets with errors."""
        return tuple(one for one in self.judged if not one.is_sound)


@contextmanager
def at_work(home: Path) -> Iterator[None]:
    """Hold the studios, so that no two processes change them at once; a killed one lets go."""
    with alone(
        home / "studios.hold", "another canebrake is at work on your studios; try again when it is done"
    ):
        yield


def candidate(offer: Offer, taken: str) -> Candidate:
    """Judge what a place offers; `taken` is the time."""
    found = judged(offer.files)
    marks = {one.name: one.loaded.ruleset for one in found if one.loaded.ruleset is not None}
    files = tuple(
        TakenFile(
            name,
            sha256(content).hexdigest(),
            marks[name].id if name in marks else "",
            marks[name].version if name in marks else "",
        )
        for name, content in offer.files.items()
    )
    return Candidate(Version(digest_of(offer.files), taken, files, offer.commit), offer.files, found)


def kept_version(home: Path, version: Version) -> Candidate:
    """Read a version that was taken, and judge it. Raises `DiskError` when it is not what was taken."""
    files = files_of(home, version)
    return Candidate(version, files, judged(files))


def files_of(home: Path, version: Version) -> dict[str, bytes]:
    """Give the files of a version, each as it was taken. Raises `DiskError` when one is not."""
    files = {one.name: read_bounded(version.at(home) / one.name) for one in version.files}
    for one in version.files:
        if sha256(files[one.name]).hexdigest() != one.sha256:
            raise DiskError(
                f"{version.at(home) / one.name} is not what was taken; forget that studio and get it again"
            )
    return files


def new_studio(name: str, place: Place, found: Candidate) -> Studio:
    """Make a studio of a place. Raises `DiskError` when the name is none."""
    if not is_well_formed(name):
        raise DiskError(f"{name!r} is no name for a studio; write small letters, digits and hyphens")
    return Studio(name, place.kind.value, place.where, found.version)


def place_of_studio(studio: Studio) -> Place:
    """Give the place of a studio. Raises `DiskError` when the lock file names none that there is."""
    if studio.kind not in list(Kind):
        raise DiskError(f"the place of {studio.name} is of no kind that is known: {studio.kind!r}")
    return Place(Kind(studio.kind), studio.where)


def keep(home: Path, lock: LockFile, studio: Studio, found: Candidate) -> LockFile:
    """Write the files of a version, then that the studio is there now. Raises `DiskError`."""
    (home / FOLDER).mkdir(parents=True, exist_ok=True)
    where = found.version.at(home)
    try:
        write_folder(where, found.files)
    except DiskError:
        if not where.is_dir() or where.is_symlink():
            raise
        remove_folder(where)  # it is named for its content, and does not hold it: somebody changed it
        write_folder(where, found.files)
    return wrote(home, lock.with_studio(studio))


def wrote(home: Path, lock: LockFile) -> LockFile:
    """Write the lock file, and remove what no version needs any more. Call it inside `at_work`."""
    write_lock(home, lock)
    needed = {version.at(home).name for version in lock.versions()}
    needed |= {folder_of(home, copy.digest).name for copy in lock.copies if Path(copy.file).exists()}
    for path in (home / FOLDER).iterdir() if (home / FOLDER).is_dir() else ():
        if path.name not in needed:
            remove_folder(path)
    for path in home.glob(".git.*.part"):
        remove_folder(path)
    for path in home.glob(f".{FILE}.*.part"):
        path.unlink(missing_ok=True)
    return lock


def gone_back(studio: Studio) -> Studio:
    """Give a studio at the version before, pinned there. Raises `DiskError` when there is none."""
    if not studio.before:
        raise DiskError(f"{studio.name} has no version before this one")
    first, *rest = studio.before
    return replace(studio, now=first, before=tuple(rest), pinned=True)


def lock_of(home: Path, name: str) -> tuple[LockFile, Studio]:
    """Give the lock file and one studio of it. Raises `DiskError` when there is no such studio."""
    lock = read_lock(home)
    studio = lock.studio(name)
    if studio is None:
        known = ", ".join(one.name for one in lock.studios) or "none"
        raise DiskError(f"no studio is called {name!r}; there are: {known}")
    return lock, studio
