"""How long until something is painted, and until the first question stands there, beside a bare application.

All run in a pseudo-terminal of 80 × 24 cells, one after the other in the same run, and a clock
stops when what is waited for has come out of it: for a question its last answer's word.
"""

import fcntl
import os
import pty
import select
import signal
import struct
import sys
import tempfile
import termios
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from statistics import median

ROOT = Path(__file__).resolve().parents[2]
LONGEST = 30.0
"""Seconds after which something is wrong."""
BARE = """
from textual.app import App
from textual.widgets import Static
class Bare(App):
    def compose(self):
        yield Static("the last word")
Bare().run()
"""


def surroundings() -> dict[str, str]:
    """Give the environment of a timed run: ours, but compiled modules are kept, as on a maker's machine."""
    return {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}


@dataclass(frozen=True, slots=True)
class Paints:
    """Medians in milliseconds."""

    bare: float
    """A bare application with one line."""
    frame: float
    """The frame of a sitting: which reed, which rules."""
    question: float
    """The first question of the bassoon ruleset, with its answers."""
    box: float
    """The box of reeds, empty: what it offers."""


def first_paints(runs: int = 9) -> Paints:
    """Start each so many times, in turn, so that a busy moment hits all of them."""
    took: list[tuple[float, ...]] = []
    command = ["-m", "tui.cli.main"]
    with tempfile.TemporaryDirectory() as home:
        own = {"CANEBRAKE_HOME": home}
        for _ in range(runs + 1):
            (bare,) = painted(["-c", BARE], (b"the last word",), {})
            sitting = painted([*command, "interview", "bassoon"], (b"Opening the rules", b"unsure"), own)
            _, box = painted(command, (b"Opening the box", b"Nothing here yet"), own)
            took.append((bare, *sitting, box))
    # The first of each filled the caches: of compiled modules, and of rulesets.
    return Paints(*(median(each) for each in zip(*took[1:], strict=True)))


def painted(words: Sequence[str], awaited: Sequence[bytes], environ: dict[str, str]) -> tuple[float, ...]:
    """Start Python in a terminal of its own; give when each of what is awaited was written there."""
    began = time.perf_counter()
    child, terminal = pty.fork()
    if child == 0:
        os.chdir(ROOT)
        fcntl.ioctl(0, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
        settings = {**surroundings(), "TERM": "xterm-256color", "COLORTERM": "truecolor", **environ}
        os.execve(sys.executable, [sys.executable, *words], settings)  # noqa: S606 - our own command line
    shown = b""
    seen: list[float] = []
    try:
        while time.perf_counter() - began < LONGEST:
            if select.select([terminal], [], [], 1.0)[0]:
                shown += os.read(terminal, 65536)
                while awaited[len(seen)] in shown:
                    seen.append(1000 * (time.perf_counter() - began))
                    if len(seen) == len(awaited):
                        return tuple(seen)
    except OSError as error:
        raise RuntimeError(f"it ended without a picture: {shown[-500:]!r}") from error
    finally:
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        os.close(terminal)
    raise RuntimeError(f"no picture after {LONGEST} s: {shown[-500:]!r}")


if __name__ == "__main__":
    paints = first_paints()
    for what, when in (("frame", paints.frame), ("question", paints.question), ("box", paints.box)):
        print(f"{what} {when:.0f} ms, bare application {paints.bare:.0f} ms: {when / paints.bare:.2f}×")
