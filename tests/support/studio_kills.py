"""Kills `canebrake` with kill -9 at a seeded moment, many times, in forks of one process that has no threads.

    python -m tests.support.studio_kills update FOLDER SEED COUNT

A moment is counted in what Python tells its audit hooks (opening, making, renaming, removing,
starting a program), so that every moment between two of them is met; every third kill comes after a
random time instead. After each the folders are looked at, and the same command is run to its end.
"""

import os
import random
import shutil
import signal
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Final

from kb.bundle.archive import opened, packed
from kb.bundle.contents import Bundle, Member
from kb.disk import holds
from kb.studio.keeping import files_of
from kb.taken import read_lock
from tests.support.running import run_here
from tests.support.studio import Person, lamp_room

_TOLD: Final = frozenset(
    {"open", "os.mkdir", "os.rename", "os.remove", "os.rmdir", "os.scandir", "os.chmod", "subprocess.Popen"}
)
_COUNTED: list[int] = []


def _counting(at: int) -> None:
    """Kill this process when the audit hooks have been told `at` times."""
    _COUNTED[:] = [at]

    def hook(event: str, _arguments: tuple[object, ...]) -> None:
        if _COUNTED and event in _TOLD:
            _COUNTED[0] -= 1
            if _COUNTED[0] < 0:
                os.kill(os.getpid(), signal.SIGKILL)

    sys.addaudithook(hook)


def killed(command: Callable[[], object], dice: random.Random, most: int) -> bool:
    """Run a command in a fork and kill it at some moment; give whether it was killed before its end."""
    by_time = dice.random() < 1 / 3
    at, seconds = dice.randrange(most), dice.random() * 0.03
    child = os.fork()
    if not child:
        if not by_time:
            _counting(at)
        command()
        os._exit(0)
    if by_time:
        time.sleep(seconds)
        os.kill(child, signal.SIGKILL)
    return os.waitpid(child, 0)[1] == signal.SIGKILL


def unpacking(folder: Path, dice: random.Random) -> bool:
    """Kill an unpack; what is visible must be all of it or nothing, and a second run must end well."""
    members = tuple(Member(f"a/{number}.txt", b"x" * 50_000) for number in range(8))
    bundle = Bundle("x", (Member("lamps.yaml", lamp_room().encode()), *members), ("lamps.yaml",))
    (folder / "a.zip").write_bytes(packed(bundle))
    files = opened((folder / "a.zip").read_bytes()).files
    words = ["studio", "unpack", str(folder / "a.zip"), "-o", str(folder / "out")]
    was_killed = killed(lambda: run_here(words, folder / "home"), dice, 26)
    visible = {path.name for path in folder.iterdir() if not path.name.startswith(".")} - {"home"}
    assert visible in ({"a.zip"}, {"a.zip", "out"}), visible
    assert "out" not in visible or holds(folder / "out", files)
    ran = run_here(words, folder / "home")
    assert ran.code == 0, ran.err
    assert holds(folder / "out", files)
    return was_killed


def updating(folder: Path, dice: random.Random) -> bool:
    """Kill an update; the studio must be whole, at the old or the new version, and a second run must end."""
    anna, place = Person.at(folder / "anna"), folder / "place"
    place.mkdir()
    (place / "lamps.yaml").write_text(lamp_room())
    anna.did("get", str(place), "--name", "lamps")
    (place / "lamps.yaml").write_text(lamp_room("1.1.0", "rare"))
    was_killed = killed(lambda: anna.studio("update", "--yes"), dice, 24)
    assert _version(anna.home) in {"1.0.0", "1.1.0"}
    ran = anna.studio("update", "--yes")
    assert ran.code == 0, ran.err
    assert _version(anna.home) == "1.1.0"
    anna.did("pin", "lamps")
    left = {path.name for path in anna.home.iterdir()} - {"studios", "studios.json", "studios.hold"}
    assert not left, left
    assert len(list((anna.home / "studios").iterdir())) == 2
    return was_killed


def _version(home: Path) -> str:
    """Give the version that is there, after holding that all that is visible is whole."""
    (studio,) = read_lock(home).studios
    for version in (studio.now, *studio.before):
        files_of(home, version)
    for path in (home / "studios").iterdir():
        assert path.name.startswith(".") or (path / "lamps.yaml").read_text().endswith(lamp_room()[-40:])
    return studio.now.files[0].version


WAYS: Final = {"unpack": unpacking, "update": updating}


def main(what: str, folder: Path, seed: int, count: int) -> None:
    """Kill many times, and print how many kills came before the end."""
    dice, early = random.Random(seed), 0
    for _ in range(count):
        here = folder / "here"
        here.mkdir()
        early += WAYS[what](here, dice)
        shutil.rmtree(here)
    print(early)


if __name__ == "__main__":
    main(sys.argv[1], Path(sys.argv[2]), int(sys.argv[3]), int(sys.argv[4]))
