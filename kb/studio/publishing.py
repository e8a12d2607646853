"""Putting a ruleset where others get it from: into a folder, or as a commit into a git repository.

First a plan is made and judged, on what the place holds now; it is shown; then it is written. A
commit is made from git's own parts (blob, index, tree) in a bare repository of ours, so that
nothing is checked out, and pushed without force: whoever was faster is not overwritten.
"""

import os
import shlex
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from kb.bundle.gathering import Gathered
from kb.bundle.judging import judged
from kb.disk import DiskError, read_bounded, write_whole
from kb.filenames import clash_of, fault_of
from kb.licences import Fit, fit
from kb.load import shipped
from kb.model import Ruleset
from kb.problem import Severity
from kb.studio.git import Repository, repository, said_by
from kb.studio.keeping import Candidate, candidate
from kb.studio.places import Kind, Place
from kb.studio.reading import Offer, offered, offered_by_git
from kb.taken import digest_of

_HEAD: Final = "ref: refs/heads/"
_BRANCH: Final = "main"
"""Of a repository that holds nothing yet."""

_MEANWHILE: Final = "somebody published to {} meanwhile; nothing was changed, look at it and publish again"


@dataclass(frozen=True, slots=True)
class Plan:
    """What publishing would do."""

    place: Place
    before: Candidate
    after: Candidate
    written: Mapping[str, bytes]
    """Files that are new or would say something else, those that others stand on first."""
    repository: Repository | None = None


@contextmanager
def planned(
    gathered: Sequence[Gathered], place: Place, home: Path, environ: Mapping[str, str], now: str
) -> Iterator[Plan]:
    """Plan to publish rulesets. Raises `DiskError` when the place cannot be used, or the plan is refused."""
    match place.kind:
        case Kind.FOLDER:
            yield _plan(gathered, place, offered(place, home, environ), now, None)
        case Kind.GIT:
            with repository(home, environ) as ours:
                yield _plan(gathered, place, offered_by_git(place, ours), now, ours)
        case _:
            raise DiskError(f"{place.where} is a packed file; canebrake studio pack makes a new one")


def _plan(
    gathered: Sequence[Gathered], place: Place, offer: Offer, now: str, ours: Repository | None
) -> Plan:
    before = candidate(offer, now)
    known = {file.id: file.name for file in before.version.files if file.id}
    owns = {_own_place(one, known): one.members[0].content for one in gathered}
    bases: dict[str, bytes] = {}
    for one in gathered:
        bases |= _bases_to_place(one, known, dict(offer.files) | owns)
    wanted = bases | owns
    written = {name: content for name, content in wanted.items() if offer.files.get(name) != content}
    after = candidate(Offer(dict(sorted((dict(offer.files) | wanted).items())), offer.commit), now)
    _refuse(before, after, written)
    for name in written.keys() - offer.files.keys():
        if _is_there(name, place, offer, ours):
            raise DiskError(f"{place.where} has another file called {name!r}; rename yours")
    return Plan(place, before, after, written, ours)


def _is_there(name: str, place: Place, offer: Offer, ours: Repository | None) -> bool:
    """Whether a place has something of this name that is no ruleset."""
    if ours is None:
        return os.path.lexists(Path(place.where) / name)
    return bool(offer.commit and ours.run("ls-tree", "--name-only", offer.commit, "--", name))


def _own_place(one: Gathered, known: Mapping[str, str]) -> str:
    """Say which file of the place a ruleset becomes: the one that has its id already, else a new one."""
    name = one.members[0].name
    return name if one.loaded.ruleset is None else known.get(one.loaded.ruleset.id, name)


def _bases_to_place(one: Gathered, known: Mapping[str, str], there: Mapping[str, bytes]) -> dict[str, bytes]:
    """Give the bases that a place lacks. One that it has as something else is not touched in passing."""
    ships = {installed.content for installed in shipped()}
    folder = _own_place(one, known).rpartition("/")[0]
    members = {member.name: member.content for member in one.members[1:]}
    found = {}
    for base in judged(members):
        content, ruleset = members[base.name], base.loaded.ruleset
        if content in ships or content in there.values():
            continue
        if ruleset is not None and ruleset.id in known:
            raise DiskError(
                f"{one.members[0].name} stands on {ruleset.id} {ruleset.version}, and the place has another "
                "text of it; publish both in one command, or stand on the one that is there"
            )
        found[f"{folder}/{base.name}" if folder else base.name] = content
    return found


def _refuse(before: Candidate, after: Candidate, written: Mapping[str, bytes]) -> None:
    """Refuse a plan that would break or replace what others have."""
    _refuse_names(after, written)
    was_broken = {one.name for one in before.broken}
    for one in after.broken:
        if one.name in written or one.name not in was_broken:
            first = next(found for found in one.loaded.problems if found.severity is Severity.ERROR)
            raise DiskError(f"{one.name} would not pass check there: {first.span}: {first.message}")
    versions = {(file.id, file.version): file for file in before.version.files if file.id}
    there = {file.name: file.id for file in before.version.files}
    for file in after.version.files:
        if file.name not in written:
            continue
        if there.get(file.name, file.id) not in {"", file.id}:
            raise DiskError(f"{file.name} is the file of {there[file.name]} there; rename yours")
        same = versions.get((file.id, file.version))
        if same is not None and same.sha256 != file.sha256:
            raise DiskError(
                f"{file.id} {file.version} is there already and says something else; "
                "give yours another version, so that nobody takes one for the other"
            )


def _refuse_names(after: Candidate, written: Mapping[str, bytes]) -> None:
    """Refuse names that others could not take, and two rulesets under one id."""
    for name in written:
        if fault_of(name):
            raise DiskError(f"the name {name!r} {fault_of(name)}")
    clash = clash_of(file.name for file in after.version.files)
    if clash:
        raise DiskError(clash)
    ids = [file.id for file in after.version.files if file.id]
    twice = next((one for one in ids if ids.count(one) > 1), None)
    if twice is not None:
        raise DiskError(f"two files there would be rulesets called {twice!r}")


def licence_faults(gathered: Gathered) -> tuple[tuple[Fit, str], ...]:
    """Say where the licence of a ruleset does not go with that of one that it stands on."""
    own = gathered.loaded.ruleset
    found = [] if own is None else [fit(base.licence, own.licence) for base in _bases(gathered)]
    return tuple(dict.fromkeys(one for one in found if one[0] is not Fit.YES))


def _bases(gathered: Gathered) -> Iterator[Ruleset]:
    for one in judged({member.name: member.content for member in gathered.members[1:]}):
        if one.loaded.ruleset is not None:
            yield one.loaded.ruleset


def publish(plan: Plan, message: str) -> str:
    """Write what was planned; give the commit, in git. Raises `DiskError`."""
    if plan.repository is not None:
        return _pushed(plan, plan.repository, message)
    there = offered(plan.place, Path(plan.place.where), {})
    if digest_of(there.files) != plan.before.version.digest:
        raise DiskError(_MEANWHILE.format(plan.place.where))
    for name in plan.written:
        path = Path(plan.place.where) / name
        path.parent.mkdir(parents=True, exist_ok=True)
        write_whole(path, plan.written[name])
    return ""


def _pushed(plan: Plan, ours: Repository, message: str) -> str:
    parent, index = plan.before.version.commit, ours.folder / "ours.index"
    if parent:
        ours.run("read-tree", "--end-of-options", parent, index=index)
    lines = b""
    for name, content in plan.written.items():
        sha = ours.run("hash-object", "-w", "--stdin", given=content).strip()
        lines += b"100644 " + sha + b"\t" + name.encode() + b"\0"
    ours.run("update-index", "-z", "--index-info", given=lines, index=index)
    tree = ours.run("write-tree", index=index).decode().strip()
    parents = ["-p", parent] if parent else []
    made = ours.tried("commit-tree", tree, *parents, given=message.encode())
    if made.code:
        raise DiskError(
            f"git made no commit: {said_by(made)}; does it know your name? "
            "(git config --global user.name NAME, and user.email ADDRESS)"
        )
    commit = made.stdout.decode().strip()
    _push(plan.place.where, ours, f"{commit}:refs/heads/{_branch(plan.place.where, ours)}")
    return commit


def _branch(where: str, ours: Repository) -> str:
    """Give the branch that a repository's readers get."""
    told = ours.run("ls-remote", "--symref", "--end-of-options", where).decode("utf-8", "replace")
    head = next((line for line in told.splitlines() if line.startswith(_HEAD)), "")
    if not head and told.strip():
        raise DiskError(f"{where} has branches, but names none of them as the one to read (its HEAD)")
    return head.removeprefix(_HEAD).partition("\t")[0] or _unborn(Path(where)) or _BRANCH


def _unborn(where: Path) -> str:
    """Give the branch that a repository on this machine means to begin with; git does not tell it."""
    for path in (where / "HEAD", where / ".git" / "HEAD"):
        try:
            said = read_bounded(path, 4096).decode("utf-8", "replace").strip()
        except DiskError:
            continue
        return said.removeprefix(_HEAD) if said.startswith(_HEAD) else ""
    return ""


def _push(where: str, ours: Repository, what: str) -> None:
    words = ["push", "--quiet", "--no-verify", "--no-recurse-submodules"]
    if Path(where).is_dir():
        # Of a repository on this machine, git itself would run the hooks, as us.
        words.append(f"--receive-pack={shlex.quote(ours.git)} -c core.hooksPath={os.devnull} receive-pack")
    ran = ours.tried(*words, "--end-of-options", where, what)
    if not ran.code:
        return
    if b"fetch first" in ran.stderr or b"non-fast-forward" in ran.stderr or b"stale info" in ran.stderr:
        raise DiskError(_MEANWHILE.format(where))
    if b"checked out" in ran.stderr:
        raise DiskError(f"{where} is a working copy; publish to the bare repository that it belongs to")
    raise DiskError(f"{where} did not take it: {said_by(ran)}")
