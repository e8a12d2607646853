"""Programs of other people that we run. Here and nowhere else.

No shell is involved, input goes in by a pipe, and every run has a limit of time. Which program is
found where is decided from the arguments: the search path and the scripts folder are handed in.
"""

import shutil
import subprocess
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Final

PATIENCE: Final = 60.0
"""Seconds after which a picture is given up: layouts of a few hundred entries take one or two."""
NO_GRAPHVIZ: Final = (
    "drawing this needs Graphviz: install its program `dot` (on Debian and Ubuntu: apt install graphviz), "
    "or the Python package graphviz-pure into canebrake's environment (for SVG and PNG); "
    "--format dot works without either"
)


class OutsideError(Exception):
    """A program is missing or failed. Its text is one sentence for the user."""


class Picture(StrEnum):
    """Kinds of picture that Graphviz makes."""

    SVG = "svg"
    PNG = "png"
    PDF = "pdf"


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


def draw_picture(dot: str, kind: Picture, *, environ: Mapping[str, str], scripts: Path) -> bytes:
    """Let Graphviz draw DOT text: its own `dot` if there, else the graphviz-pure package's program.

    `scripts` is the folder where the environment keeps programs of Python packages. Raises
    `OutsideError` when neither is there, or drawing failed.
    """
    program = _graphviz(kind, environ, scripts)
    done = run_program([program, f"-T{kind.value}"], given=dot.encode(), environ=environ, seconds=PATIENCE)
    if done.code != 0 or not done.stdout:
        said = done.stderr.decode("utf-8", "replace").strip().splitlines()
        reason = said[-1] if said else "no reason given"
        raise OutsideError(f"{Path(program).name} could not draw the picture: {reason}")
    return done.stdout


def _graphviz(kind: Picture, environ: Mapping[str, str], scripts: Path) -> str:
    system = shutil.which("dot", path=environ.get("PATH", ""))
    if system:
        return system
    packaged = shutil.which("graphviz-pure", path=str(scripts))
    if packaged is None:
        raise OutsideError(NO_GRAPHVIZ)
    if kind is Picture.PDF:
        raise OutsideError(
            "PDF needs Graphviz's own program `dot` (on Debian and Ubuntu: apt install graphviz); "
            "the package graphviz-pure draws SVG and PNG"
        )
    return packaged
