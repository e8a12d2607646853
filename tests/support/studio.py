"""People of an invented studio, each with a home of their own, and git as they use it."""

import os
import shutil
import subprocess
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from tests.support.running import Ran, run_here

GIT: Final = shutil.which("git")
KEYGEN: Final = shutil.which("ssh-keygen")
BASE: Final = """\
# Rules of an invented studio.
canebrake: 1
id: lamp-room
title: Lamps in our room
version: {version}
licence: CC-BY-SA-4.0
priorities:
  - {{id: light, title: Light, goal: It is light, ask: Is it light?}}
symptoms:
  no-light: {{priority: light, ask: Does the lamp stay dark?, by: look}}
causes:
  blown-bulb: {{title: The bulb is blown, how_common: {common}, shows: {{no-light: always}}, sources: [own]}}
  pulled-plug: {{title: The plug is pulled, how_common: rare, shows: {{no-light: always}}, sources: [own]}}
remedies:
  new-bulb: {{title: Screw in a new bulb, do: Let it cool first., minutes: {minutes}, cures: {{blown-bulb: always}}, undo: fully, recheck: [no-light], sources: [own]}}
  plug-in: {{title: Put the plug in, do: All the way., cures: {{pulled-plug: always}}, undo: fully, recheck: [no-light], sources: [own]}}
sources:
  own: {{title: What we do in our room, kind: common practice}}
"""  # noqa: E501 - one entry a line, as authors write


def lamp_room(version: str = "1.0.0", common: str = "common", minutes: int = 2) -> str:
    """Give the studio's ruleset."""
    return BASE.format(version=version, common=common, minutes=minutes)


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody with a folder, a log and studios of their own."""

    folder: Path

    @classmethod
    def at(cls, folder: Path) -> "Person":
        """Give somebody a desk."""
        folder.mkdir()
        return cls(folder)

    @property
    def env(self) -> dict[str, str]:
        """What their shell says: git, and a name for it."""
        return {
            "PATH": os.environ.get("PATH", ""),
            "GIT_AUTHOR_NAME": self.folder.name,
            "GIT_COMMITTER_NAME": self.folder.name,
            "EMAIL": f"{self.folder.name}@example.org",
            "GIT_CONFIG_NOSYSTEM": "1",
            "HOME": str(self.folder),
        }

    @property
    def home(self) -> Path:
        """Where their studios are kept."""
        return self.folder / "home"

    def studio(self, *words: str, given: str = "") -> Ran:
        """Run `canebrake studio`."""
        return self.run("studio", *words, given=given)

    def run(self, *words: str, given: str = "") -> Ran:
        """Run `canebrake` at their desk."""
        was = Path.cwd()
        os.chdir(self.folder)
        try:
            return run_here(words, self.home, given=given, env=self.env)
        finally:
            os.chdir(was)

    def did(self, *words: str, given: str = "") -> str:
        """Run `canebrake studio`, which must succeed, and give what it said."""
        ran = self.studio(*words, given=given)
        assert ran.code == 0, ran.out + ran.err
        return ran.out

    def write(self, name: str, text: str) -> Path:
        """Write a file on their desk."""
        path = self.folder / name
        path.write_text(text, encoding="utf-8")
        return path


def git(folder: Path, *words: str) -> str:
    """Run git as an honest author does."""
    assert GIT is not None
    who = [
        "-c",
        "user.name=Author",
        "-c",
        "user.email=author@example.org",
        "-c",
        "protocol.file.allow=always",
    ]
    done = subprocess.run(
        [GIT, *who, *words],
        cwd=folder,
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "GIT_CONFIG_GLOBAL": os.devnull, "GIT_CONFIG_NOSYSTEM": "1"},
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


def repository(folder: Path, **files: str) -> Path:
    """Make a repository that holds files; `__` in a name is a dot, `___` a slash."""
    folder.mkdir()
    git(folder, "init", "--quiet", "--initial-branch=main")
    for name, text in files.items():
        path = folder / name.replace("___", "/").replace("__", ".")
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    git(folder, "add", "--all")
    git(folder, "commit", "--quiet", "--allow-empty", "--message=Rules")
    return folder
