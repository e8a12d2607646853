"""Runs the command line for tests: in a process of its own, with surroundings that are said here.

Nothing of the tester's machine reaches a run: home, log, width and colour are set, and the rest of
the environment is what Python itself needs.
"""

import os
import subprocess
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from io import StringIO
from pathlib import Path
from typing import Final

from tui.cli.commands import run_commands
from tui.wiring import Surroundings

ROOT: Final = Path(__file__).resolve().parents[2]
PATIENCE: Final = 120.0


@dataclass(frozen=True, slots=True)
class Ran:
    """What a command left behind."""

    code: int
    out: str
    err: str


def environment(home: Path, **more: str) -> dict[str, str]:
    """Give a bare environment in which a command runs."""
    kept = {name: os.environ[name] for name in ("SYSTEMROOT", "TMPDIR") if name in os.environ}
    said = {
        "CANEBRAKE_HOME": str(home),
        "HOME": str(home),
        "COLUMNS": "80",
        "NO_COLOR": "1",
        "PATH": "",
        "LC_ALL": "C.UTF-8",
    }
    return kept | said | more


def run_python(
    words: Sequence[str],
    home: Path,
    *,
    cwd: Path = ROOT,
    given: bytes = b"",
    env: Mapping[str, str] | None = None,
) -> Ran:
    """Run this Python in a fresh process."""
    done = subprocess.run(
        [sys.executable, *words],
        cwd=cwd,
        env={**environment(home), "PYTHONPATH": str(ROOT), **(env or {})},
        input=given,
        capture_output=True,
        timeout=PATIENCE,
        check=False,
    )
    # Universal line ends, so that a recorded run is the same on every system.
    out, err = (part.decode().replace("\r\n", "\n") for part in (done.stdout, done.stderr))
    return Ran(done.returncode, out, err)


def run_canebrake(
    words: Sequence[str],
    home: Path,
    *,
    cwd: Path = ROOT,
    given: bytes = b"",
    env: Mapping[str, str] | None = None,
) -> Ran:
    """Run `canebrake` in a fresh process."""
    return run_python(["-m", "tui.cli.main", *words], home, cwd=cwd, given=given, env=env)


def run_here(
    words: Sequence[str],
    home: Path,
    *,
    given: str = "",
    width: int = 80,
    env: Mapping[str, str] | None = None,
) -> Ran:
    """Run `canebrake` in this process: fast, and Python's own errors come through."""
    out, err = StringIO(), StringIO()
    around = Surroundings(
        stdin=StringIO(given), stdout=out, stderr=err, environ=environment(home, **(env or {})), width=width
    )
    code = run_commands(words, around)
    return Ran(int(code), out.getvalue(), err.getvalue())
