"""Recorded runs of the command line: stdout, stderr and exit code, compared with files in `runs`.

A run's file begins with its command; what follows is what that command printed when it was
recorded. To record a new one, write a file in `runs` that holds its `$ canebrake …` line alone; to
record all of them anew, after a change that was meant, run

    CANEBRAKE_RECORD=1 python3 -m tests tests/commands

and read the difference before you commit it: it is what users will see.
"""

import os
import shlex
from pathlib import Path

import pytest

from tests.support.running import Ran, run_canebrake

HERE = Path(__file__).resolve().parent
INPUTS = HERE / "inputs"
RUNS = sorted((HERE / "runs").glob("*.txt"))


def written(command: str, ran: Ran) -> str:
    parts = [command + "\n", f"--- exit {ran.code}\n"]
    parts += [f"--- {name}\n{text}" for name, text in (("stdout", ran.out), ("stderr", ran.err)) if text]
    return "".join(parts)


@pytest.mark.parametrize("path", RUNS, ids=lambda path: path.stem)
def test_a_command_prints_what_it_printed_when_it_was_recorded(path: Path, tmp_path: Path) -> None:
    recorded = path.read_text(encoding="utf-8")
    command = recorded.splitlines()[0]
    prompt, name, *words = shlex.split(command)
    assert (prompt, name) == ("$", "canebrake")
    now = written(command, run_canebrake(words, tmp_path, cwd=INPUTS))
    assert "Traceback" not in now
    if os.environ.get("CANEBRAKE_RECORD"):
        path.write_text(now, encoding="utf-8")
    assert now == recorded or os.environ.get("CANEBRAKE_RECORD")


def test_every_exit_code_is_among_the_recorded_runs() -> None:
    codes = {path.read_text(encoding="utf-8").splitlines()[1] for path in RUNS}
    assert codes == {"--- exit 0", "--- exit 1", "--- exit 2"}
