"""`python3 -m tui`: makes an environment for a fresh clone, then goes on inside it.

Standard library only, and no syntax newer than Python 3.5, so that an old Python reads far enough
to say in a sentence that it is too old. This file and `tests/__main__.py`, which shares it, are
the two exceptions to the rule that `kb` alone writes and runs. An installed copy has no
pyproject.toml beside it: there this only starts the command.

The environment is `.venv` in the clone. A stamp in it says from what it was made; whatever does
not match the stamp (a changed pyproject.toml, another Python, a moved folder) is put right. A mark
that stands while work goes on tells that a run was killed half-way: then all is made anew, since
nobody knows what is whole. A lock that the system drops when a process dies keeps two runs from
making it at once.
"""

import contextlib
import hashlib
import importlib.util
import os
import shutil
import subprocess
import sys
import sysconfig
from collections.abc import Iterator
from pathlib import Path
from typing import IO

ROOT = Path(__file__).resolve().parent.parent
PLACE = ROOT / ".venv"
STAMP = PLACE / "canebrake.stamp"
LOCK = PLACE / "canebrake.lock"
WORK = PLACE / "canebrake.at-work"
OLDEST = (3, 11)
NO_WAY = (
    "this Python has neither ensurepip, virtualenv nor pip, so no environment can be made. "
    "Install one of them (on Debian and Ubuntu: apt install python3-venv) and run this again."
)


class BootstrapError(Exception):
    """The environment cannot be made; its text is the sentence for the user."""


def is_old(version: "tuple[int, int]" = sys.version_info[:2]) -> bool:
    """Whether `version` is a Python that canebrake cannot run on."""
    return version < OLDEST


def say(line: str) -> None:
    """Tell the user what is being done. On stderr: stdout belongs to the command's answer."""
    sys.stderr.write("canebrake: " + line + "\n")
    sys.stderr.flush()


def is_clone() -> bool:
    """Whether this file stands in a clone of the project, and not in an installed copy."""
    try:
        return 'name = "canebrake"' in (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    except OSError:
        return False


def own_python() -> Path:
    """Give the interpreter of the clone's environment, whether or not it is there yet."""
    return PLACE / "Scripts" / "python.exe" if sys.platform == "win32" else PLACE / "bin" / "python"


def has_project(needs: "tuple[str, ...]") -> bool:
    """Whether the running Python is a virtual environment that has canebrake and the modules `needs`.

    Someone who made their own environment with pip or pipx means that one to be used.
    """
    if sys.prefix == sys.base_prefix or Path(sys.prefix).resolve() == PLACE.resolve():
        return False
    found = Path(sysconfig.get_path("purelib")).glob("canebrake-*.dist-info")
    return next(found, None) is not None and all(importlib.util.find_spec(name) for name in needs)


def fingerprint() -> str:
    """Say from what an environment made now would be made."""
    made_of = [
        hashlib.sha256((ROOT / "pyproject.toml").read_bytes()).hexdigest(),
        ".".join(str(part) for part in sys.version_info[:2]),
        str(ROOT),
    ]
    return "\n".join(made_of)


def stamped() -> "tuple[str, tuple[str, ...]]":
    """Give what the environment was made from, and with which extras; nothing without a stamp."""
    try:
        said, _, extras = STAMP.read_text(encoding="utf-8").strip().rpartition("\nextras:")
    except (OSError, ValueError):
        return "", ()
    return said, tuple(extras.split())


def lacks(extra: str) -> bool:
    """Whether the environment has to be made, or put right, before `extra` can be used."""
    said, extras = stamped()
    return said != fingerprint() or not own_python().exists() or (extra != "" and extra not in extras)


def prepare(extra: str = "") -> Path:
    """Make the environment, or put it right, where needed; give its interpreter.

    Raises BootstrapError when that cannot be done.
    """
    try:
        if lacks(extra):
            with locked():
                # Another run may have made it while this one waited.
                if lacks(extra):
                    # Whoever ran the tests once wants to run them again after a change: keep extras.
                    _make({extra, *stamped()[1]} - {""})
    except OSError as fault:
        reason = fault.strerror or str(fault)
        raise BootstrapError("cannot make the environment in " + str(PLACE) + ": " + reason + ".") from fault
    return own_python()


def _make(extras: "set[str]") -> None:
    wanted = ".[" + ",".join(sorted(extras)) + "]" if extras else "."
    if not WORK.exists() and _is_usable():
        say("bringing the environment in .venv up to date")
        WORK.touch()
    else:
        say("making an environment in .venv (once; this takes a minute)")
        _clear()
        WORK.touch()
        _create()
    with contextlib.suppress(FileNotFoundError):
        STAMP.unlink()
    say("installing canebrake and what it needs into it")
    command = _pip() + ["install", "--quiet", "--disable-pip-version-check", "--no-input", "-e", wanted]  # noqa: RUF005
    if _run(command) != 0:
        WORK.unlink()
        raise BootstrapError(
            "installing into .venv failed; the lines above say why. "
            "It needs a network, or a package index that pip is set up for, the first time."
        )
    half = PLACE / "canebrake.stamp.half"
    half.write_text(fingerprint() + "\nextras: " + " ".join(sorted(extras)) + "\n", encoding="utf-8")
    half.replace(STAMP)
    WORK.unlink()
    say("ready")


def _is_usable() -> bool:
    # Only a run tells: the link to the system's Python may dangle, or the library be half-copied.
    if not own_python().exists() or not (PLACE / "pyvenv.cfg").exists():
        return False
    same = "sys.version_info[:2] == " + str(sys.version_info[:2])
    code = "import sys, encodings, json; sys.exit(0 if " + same + " else 1)"
    return _run([str(own_python()), "-c", code], quiet=True) == 0 and _has_pip()


def _has_pip() -> bool:
    own = [str(own_python()), "-m", "pip", "--version"]
    return _run(own, quiet=True) == 0 or importlib.util.find_spec("pip") is not None


def _clear() -> None:
    for entry in PLACE.iterdir():
        if entry == LOCK:
            continue
        if entry.is_dir() and not entry.is_symlink():
            shutil.rmtree(str(entry))
        else:
            entry.unlink()


def _create() -> None:
    ways = []
    if importlib.util.find_spec("ensurepip"):
        ways.append([sys.executable, "-m", "venv", str(PLACE)])
    if importlib.util.find_spec("virtualenv"):
        ways.append([sys.executable, "-m", "virtualenv", "--quiet", str(PLACE)])
    if importlib.util.find_spec("pip") and importlib.util.find_spec("venv"):
        ways.append([sys.executable, "-m", "venv", "--without-pip", str(PLACE)])
    if not ways:
        raise BootstrapError(NO_WAY)
    for number, way in enumerate(ways):
        last = number == len(ways) - 1
        if _run(way, quiet=not last) == 0 and _has_pip():
            return
        _clear()
        WORK.touch()
    raise BootstrapError("making .venv failed; the lines above say why. " + NO_WAY.partition(". ")[2])


def _pip() -> "list[str]":
    own = [str(own_python()), "-m", "pip"]
    # An environment made without ensurepip has no pip of its own: the running one serves it.
    if _run([*own, "--version"], quiet=True) == 0:
        return own
    return [sys.executable, "-m", "pip", "--python", str(own_python())]


def _run(command: "list[str]", quiet: bool = False) -> int:  # noqa: FBT001, FBT002 - one caller's choice
    output = subprocess.DEVNULL if quiet else sys.stderr
    try:
        return subprocess.call(  # noqa: S603 - only commands that are spelled out in this file
            command, cwd=str(ROOT), stdin=subprocess.DEVNULL, stdout=output, stderr=output
        )
    except OSError:
        return 1


@contextlib.contextmanager
def locked() -> "Iterator[None]":
    """Hold the environment's lock, waiting for another run that makes it."""
    if PLACE.is_symlink() and not PLACE.exists():
        PLACE.unlink()
    PLACE.mkdir(exist_ok=True)
    with LOCK.open("a") as lock:
        _wait_for(lock)
        yield


if sys.platform == "win32":
    import msvcrt

    def _wait_for(lock: "IO[str]") -> None:
        while True:
            try:
                msvcrt.locking(lock.fileno(), msvcrt.LK_LOCK, 1)
            except OSError:
                say("waiting for another run that is preparing .venv")
            else:
                return

else:
    import fcntl

    def _wait_for(lock: "IO[str]") -> None:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            say("waiting for another run that is preparing .venv")
            fcntl.flock(lock, fcntl.LOCK_EX)
        except OSError:
            # Some network folders know no locks. Then two runs at once are the user's to avoid.
            return


def hand_over(command: "list[str]") -> int:
    """Go on as `command`; returns only where a process cannot be replaced."""
    if sys.platform != "win32":
        sys.stdout.flush()
        sys.stderr.flush()
        os.execv(command[0], command)  # noqa: S606 - the interpreter that was just made
    running = subprocess.Popen(command)  # noqa: S603 - the same
    while True:
        try:
            return running.wait()
        except KeyboardInterrupt:
            # The command got it too, and decides what it means.
            continue


def start(extra: str, needs: "tuple[str, ...]", module: str, arguments: "list[str]") -> int:
    """Run `module` with `arguments` in an environment that has canebrake with `extra`."""
    if is_old():
        have = ".".join(str(part) for part in sys.version_info[:3])
        say("this is Python " + have + "; canebrake needs Python 3.11 or newer.")
        return 2
    try:
        python = sys.executable if has_project(needs) else str(prepare(extra))
    except BootstrapError as fault:
        say(str(fault))
        return 2
    except KeyboardInterrupt:
        say("interrupted; the next run puts .venv right.")
        return 130
    return hand_over([python, "-m", module, *arguments])


def main() -> int:
    """Start the command, from a clone inside its own environment."""
    if is_old() or is_clone():
        return start("", (), "tui.cli.main", sys.argv[1:])
    from tui.cli.main import run  # noqa: PLC0415 - the old Pythons above cannot read it

    return run()


if __name__ == "__main__":
    sys.exit(main())
