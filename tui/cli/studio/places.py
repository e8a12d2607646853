"""`canebrake studio get`, `list`, `update`, `pin`, `unpin`, `back`, `forget`: rulesets taken from places."""

import argparse
import re
from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from kb.disk import DiskError
from kb.studio.keeping import (
    Candidate,
    at_work,
    candidate,
    gone_back,
    keep,
    kept_version,
    lock_of,
    new_studio,
    place_of_studio,
    wrote,
)
from kb.studio.places import place_of
from kb.studio.reading import offered
from kb.taken import LockFile, Studio, TakenFile, read_lock
from tui.cli.saying import Json, complain, tell, tell_json
from tui.cli.studio.changes import change_lines, problem_excerpts
from tui.draw.cells import hung
from tui.exit_code import ExitCode
from tui.shelf import names_of
from tui.wiring import Surroundings

NONE_YET: Final = "There is no studio yet. Get one with: canebrake studio get PLACE"
_UNFIT: Final = re.compile("[^a-z0-9]+")
_SHOWN: Final = 12
"""Characters of a commit's or a version's name that are shown."""


def get_options(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments of `get`."""
    parser.add_argument(
        "place", metavar="PLACE", help="a folder, a packed file, or a git repository (https, ssh, or a path)"
    )
    parser.add_argument("--name", metavar="NAME", help="what to call it here; made from PLACE if not said")


def list_options(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments of `list`."""
    parser.add_argument("--json", action="store_true", help="for programs")


def name_options(parser: argparse.ArgumentParser) -> None:
    """Declare the name of a studio."""
    parser.add_argument("name", metavar="NAME", help="the studio")


def update_options(parser: argparse.ArgumentParser) -> None:
    """Declare the arguments of `update`."""
    parser.add_argument(
        "name", metavar="NAME", nargs="?", help="the studio; all that are not pinned if not said"
    )
    parser.add_argument("--yes", action="store_true", help="take it without asking")


def get(arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
    """Take the rulesets of a place for the first time."""
    home, place = around.data_folder, place_of(arguments.place)
    with at_work(home):
        lock = read_lock(home)
        name = arguments.name or _name_from(place.where)
        if lock.studio(name) is not None:
            raise DiskError(f"a studio called {name} is there already; choose another with --name")
        same = next((one for one in lock.studios if one.where == place.where), None)
        if same is not None:
            raise DiskError(
                f"that place is known already, as {same.name}: canebrake studio update {same.name}"
            )
        found = candidate(offered(place, home, around.environ), time_of(around))
        if not found.files:
            raise DiskError(f"{place.where} holds no ruleset")
        if not _is_sound(found, around):
            return ExitCode.NO
        studio = new_studio(name, place, found)
        keep(home, lock, studio, found)
    tell(around, [f"{studio.name} is a studio of yours now, got from {arguments.place}:"])
    tell(around, _ruleset_lines(studio, around.width))
    return ExitCode.DONE


def show(arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
    """List the studios, what was taken from each, and how its rulesets are called."""
    lock = read_lock(around.data_folder)
    if arguments.json:
        tell_json(around, {"studios": [_studio_json(studio) for studio in lock.studios]})
    elif not lock.studios:
        tell(around, [NONE_YET])
    for studio in () if arguments.json else lock.studios:
        tell(around, _studio_lines(studio, around.width))
    return ExitCode.DONE


def update(arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
    """Look at each place for something new; show what would change, ask, and take it."""
    home, code = around.data_folder, ExitCode.DONE
    with at_work(home):
        lock = read_lock(home)
        studios = lock.studios if arguments.name is None else (lock_of(home, arguments.name)[1],)
        if not studios:
            tell(around, [NONE_YET])
        for studio in studios:
            try:
                lock, done = _updated(lock, studio, around, yes=arguments.yes)
            except DiskError as fault:
                complain(around, f"{studio.name}: {fault}; what was taken before is still there")
                done = ExitCode.COULD_NOT_START
            code = max(code, done)
    return code


def _updated(lock: LockFile, studio: Studio, around: Surroundings, *, yes: bool) -> tuple[LockFile, ExitCode]:
    home = around.data_folder
    if studio.pinned:
        tell(around, [f"{studio.name} is pinned, and stays as it is; canebrake studio unpin {studio.name}"])
        return lock, ExitCode.DONE
    found = candidate(offered(place_of_studio(studio), home, around.environ), time_of(around))
    if found.version.digest == studio.now.digest:
        tell(around, [f"{studio.name}: nothing new"])
        return lock, ExitCode.DONE
    if not found.files:
        raise DiskError("there is no ruleset left in it")
    if not _is_sound(found, around):
        return lock, ExitCode.NO
    tell(around, [f"{studio.name}: this would change"])
    tell(around, change_lines(kept_version(home, studio.now), found, around.width))
    if not yes and not asked(around, f"Take this from {studio.name}?"):
        tell(around, [f"{studio.name}: left as it was"])
        return lock, ExitCode.NO
    lock = keep(home, lock, studio.with_version(found.version), found)
    tell(around, [f"{studio.name}: taken; `canebrake studio back {studio.name}` goes back"])
    return lock, ExitCode.DONE


def pin(arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
    """Leave a studio as it is at every update, until it is unpinned."""
    return _set_pin(arguments.name, around, pinned=True)


def unpin(arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
    """Let a studio be updated again."""
    return _set_pin(arguments.name, around, pinned=False)


def _set_pin(name: str, around: Surroundings, *, pinned: bool) -> ExitCode:
    home = around.data_folder
    with at_work(home):
        lock, studio = lock_of(home, name)
        wrote(home, lock.with_studio(replace(studio, pinned=pinned)))
    how = "pinned: an update leaves it as it is" if pinned else "no longer pinned"
    tell(around, [f"{name} is {how}"])
    return ExitCode.DONE


def back(arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
    """Go back to the version before, and stay there."""
    home = around.data_folder
    with at_work(home):
        lock, studio = lock_of(home, arguments.name)
        earlier = gone_back(studio)
        before, after = kept_version(home, studio.now), kept_version(home, earlier.now)
        tell(around, change_lines(before, after, around.width))
        wrote(home, lock.with_studio(earlier))
    said = f"{studio.name} is again what it was before, and pinned there"
    tell(around, hung(f"{said}; `canebrake studio unpin {studio.name}` lets it be updated", around.width))
    return ExitCode.DONE


def forget(arguments: argparse.Namespace, around: Surroundings) -> ExitCode:
    """Forget a studio and what was taken from it. Reeds keep the text that they were judged by."""
    home = around.data_folder
    with at_work(home):
        lock, studio = lock_of(home, arguments.name)
        wrote(home, lock.without_studio(studio.name))
    tell(around, [f"{studio.name} is forgotten; its place is as it was: {studio.where}"])
    return ExitCode.DONE


def asked(around: Surroundings, question: str) -> bool:
    """Ask before something is changed; what cannot be answered is no."""
    around.stdout.flush()
    around.stderr.write(f"{question} Type yes to go on: ")
    around.stderr.flush()
    said = around.stdin.readline()
    if not around.is_terminal:
        around.stderr.write("\n")  # where nobody ended the line by typing
    return said.strip().casefold() in {"yes", "y"}


def _is_sound(found: Candidate, around: Surroundings) -> bool:
    """Say which rulesets have errors; a version with one is not taken."""
    for one in found.broken:
        tell(around, problem_excerpts(one, around.width))
        complain(around, f"{one.name} has errors, and so nothing was taken")
    return not found.broken


def _name_from(where: str) -> str:
    """Make a studio's name of the last part of its place."""
    last = re.split(r"[/\\:]", where.rstrip("/\\"))[-1].removesuffix(".git")
    name = _UNFIT.sub("-", last.rsplit(".", 1)[0].casefold()).strip("-")
    return name if name[:1].isalpha() else f"studio-{name}".rstrip("-")


def time_of(around: Surroundings) -> str:
    """Give the time as the lock file says it."""
    return around.now().isoformat(timespec="seconds")


def _studio_lines(studio: Studio, width: int) -> Iterator[str]:
    now = studio.now
    pinned = ", pinned" if studio.pinned else ""
    commit = f", commit {now.commit[:_SHOWN]}" if now.commit else ""
    yield from hung(f"{studio.name} ({studio.kind} {studio.where}){pinned}", width)
    yield from hung(f"  taken {now.taken[:10]}{commit}, digest {now.digest[:_SHOWN]}", width)
    yield from _ruleset_lines(studio, width)


def _ruleset_lines(studio: Studio, width: int) -> Iterator[str]:
    for file in studio.now.files:
        if file.id:
            yield from hung(f"  {_called(file, studio)}: {file.version}, {file.name}", width)


def _called(file: TakenFile, studio: Studio) -> str:
    """Say how a ruleset is named, where its id alone would mean another."""
    own = f"{file.id}@{studio.name}"
    return f"{own} ({file.id} alone is another)" if own in names_of(file.id) else file.id


def _studio_json(studio: Studio) -> Json:
    now = studio.now
    return {
        "name": studio.name,
        "kind": studio.kind,
        "where": studio.where,
        "pinned": studio.pinned,
        "taken": now.taken,
        "commit": now.commit or None,
        "digest": now.digest,
        "earlier": len(studio.before),
        "rulesets": [
            {"id": file.id, "version": file.version, "file": file.name, "sha256": file.sha256}
            for file in now.files
            if file.id
        ],
    }
