"""git, run so that it runs nothing else: to read a repository that may be hostile, and to publish to one.

Nothing is ever checked out. A bare repository in a hidden folder takes the newest commit alone, its
tree is listed and its files are read as blobs; then the folder goes. Hooks, submodules, helpers of
odd addresses, questions for passwords and lazy fetching are all switched off, and every run has a
limit of time.
"""

import os
import shutil
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from kb.disk import DiskError, name_beside, remove_folder
from kb.outside import OutsideError, Ran, run_program

SECONDS: Final = 120.0
"""The longest that git may take for one thing."""
_SAFE: Final = (
    f"core.hooksPath={os.devnull}",
    "core.fsmonitor=false",
    "core.symlinks=false",
    "core.protectNTFS=true",
    "core.protectHFS=true",
    "protocol.allow=never",
    "protocol.https.allow=always",
    "protocol.ssh.allow=always",
    "protocol.file.allow=always",
    "submodule.recurse=false",
    "fetch.recurseSubmodules=false",
    "fetch.fsckObjects=true",
    "http.followRedirects=initial",
    "credential.interactive=false",
    "commit.gpgSign=false",
    "gc.auto=0",
    "maintenance.auto=false",
)
_ENVIRONMENT: Final[Mapping[str, str]] = {
    "GIT_ALLOW_PROTOCOL": "file:https:ssh",
    "GIT_TERMINAL_PROMPT": "0",
    "GIT_ASKPASS": "",
    "SSH_ASKPASS": "",
    "SSH_ASKPASS_REQUIRE": "never",
    "GCM_INTERACTIVE": "never",
    "GIT_NO_LAZY_FETCH": "1",
    "GIT_NO_REPLACE_OBJECTS": "1",
    "GIT_OPTIONAL_LOCKS": "0",
    "GIT_PROTOCOL_FROM_USER": "0",
    "LC_ALL": "C",
}
_KEPT: Final = ("GIT_AUTHOR_", "GIT_COMMITTER_", "GIT_SSL_", "GIT_CONFIG_GLOBAL", "GIT_CONFIG_NOSYSTEM")
"""What the user says to git beside that: who they are, whom they trust."""
_TAKEN: Final = "refs/heads/taken"


@dataclass(frozen=True, slots=True)
class TreeEntry:
    """One line of a tree."""

    mode: str
    kind: str
    sha: str
    size: int
    name: str


@dataclass(frozen=True, slots=True)
class Repository:
    """A bare repository of ours, in a folder that goes away."""

    git: str
    folder: Path
    environ: Mapping[str, str]

    def run(self, *words: str, given: bytes = b"", index: Path | None = None) -> bytes:
        """Run git in it and give what it prints. Raises `DiskError` with git's own last words."""
        ran = self.tried(*words, given=given, index=index)
        if ran.code:
            raise DiskError(f"git could not do it: {said_by(ran)}")
        return ran.stdout

    def tried(self, *words: str, given: bytes = b"", index: Path | None = None) -> Ran:
        """Run git in it and give how it went."""
        environ = dict(self.environ)
        if index is not None:
            environ["GIT_INDEX_FILE"] = str(index)
        settings = [part for one in _SAFE for part in ("-c", one)]
        command = [self.git, f"--git-dir={self.folder}", *settings, *words]
        try:
            return run_program(command, given=given, environ=environ, seconds=SECONDS)
        except OutsideError as fault:
            raise DiskError(str(fault)) from fault

    def fetched(self, where: str) -> str:
        """Take the newest commit of a repository; give its name, or nothing when there is none yet."""
        ran = self.tried(
            "fetch",
            "--quiet",
            "--no-tags",
            "--no-recurse-submodules",
            "--depth=1",
            "--end-of-options",
            where,
            f"+HEAD:{_TAKEN}",
        )
        if ran.code:
            if b"couldn't find remote ref HEAD" in ran.stderr:
                return ""
            raise DiskError(f"{where} could not be read: {said_by(ran)}")
        return self.run("rev-parse", "--verify", f"{_TAKEN}^{{commit}}").decode().strip()

    def entries(self, tree: str) -> tuple[TreeEntry, ...]:
        """List one tree, without those in it: a tree may hold itself a billion times."""
        listed = self.run("ls-tree", "-z", "-l", "--full-tree", "--end-of-options", tree)
        return tuple(_entry(line) for line in listed.split(b"\0") if line)

    def blob(self, sha: str) -> bytes:
        """Give the bytes of a file, unchanged by any filter."""
        return self.run("cat-file", "blob", sha)


def _entry(line: bytes) -> TreeEntry:
    head, _, name = line.partition(b"\t")
    mode, kind, sha, size = head.split()
    return TreeEntry(
        mode.decode(),
        kind.decode(),
        sha.decode(),
        int(size) if size.isdigit() else 0,
        name.decode("utf-8", "surrogateescape"),
    )


@contextmanager
def repository(home: Path, environ: Mapping[str, str]) -> Iterator[Repository]:
    """Make an empty bare repository that goes away afterwards. Raises `DiskError` where git is missing."""
    git = shutil.which("git", path=environ.get("PATH", ""))
    if git is None:
        raise DiskError("git is not installed, or not on the search path; folders and packed files need none")
    own = {name: value for name, value in environ.items() if not name.startswith("GIT_")}
    own |= {name: value for name, value in environ.items() if name.startswith(_KEPT)}
    ssh = environ.get("GIT_SSH_COMMAND") or "ssh"
    own |= {**_ENVIRONMENT, "GIT_SSH_COMMAND": f"{ssh} -oBatchMode=yes"}
    home.mkdir(parents=True, exist_ok=True)
    folder = name_beside(home / "git")
    made = Repository(git, folder, own)
    try:
        made.run("init", "--quiet", "--bare", "--template=", "--initial-branch=ours", "--", str(folder))
        yield made
    finally:
        remove_folder(folder)


def said_by(ran: Ran) -> str:
    """Give the one line of git's complaints that says most."""
    lines = [line.strip() for line in ran.stderr.decode("utf-8", "replace").splitlines() if line.strip()]
    telling = [line for line in lines if line.startswith(("fatal:", "error:", "remote: error", "!"))]
    line = (telling or lines or ["it gave no reason"])[0]
    return line.removeprefix("fatal: ").removeprefix("error: ")[:300]
