"""Programs of other people that we run. Here and nowhere else.

No shell is involved, input goes in by a pipe, and every run has a limit of time. Which program is
found where is decided from the arguments: the search path is handed in.
"""

import subprocess
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path


class OutsideError(Exception):
    """A program is missing or failed. Its text is one sentence for the user."""


@dataclass(frozen=True, slots=True)
class Ran:
    """What a program left behind."""

    code: int
    stdout: bytes
    stderr: bytes


def run_program(command: Sequence[str], *, given: bytes, environ: Mapping[str, str], seconds: float) -> Ran:
    """Run a program without a shell, on a pipe. Raises `OutsideError` when it cannot be run to its end."""
    name = Path(command[0]).name
    try:
        done = subprocess.run(  # noqa: S603 - the callers name the program, and no shell reads the rest
            list(command), input=given, capture_output=True, env=dict(environ), timeout=seconds, check=False
        )
    except subprocess.TimeoutExpired as fault:
        raise OutsideError(f"{name} did not finish within {seconds:g} seconds") from fault
    except OSError as fault:
        raise OutsideError(f"{name} cannot be run: {fault.strerror or fault}") from fault
    return Ran(done.returncode, done.stdout, done.stderr)
