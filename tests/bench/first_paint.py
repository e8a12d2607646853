"""How long until the first question stands on the screen with its answers, beside a bare application.

Both run in a pseudo-terminal of 80 × 24 cells, one after the other in the same run, and the clock
stops when the last of what is waited for has come out of it: for ours the last answer's word.
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


def first_paints(runs: int = 9) -> tuple[float, float]:
    """Give medians in milliseconds: the first question of the bassoon ruleset, and a bare application."""
    ours: list[float] = []
    bare: list[float] = []
    with tempfile.TemporaryDirectory() as home:
        for _ in range(runs + 1):
            words = ["-m", "tui.cli.main", "interview", "bassoon"]
            ours.append(painted(words, b"unsure", {"CANEBRAKE_HOME": home}))
            bare.append(painted(["-c", BARE], b"the last word", {}))
    # The first of each filled the caches of compiled modules.
    return median(ours[1:]), median(bare[1:])


def painted(words: Sequence[str], awaited: bytes, environ: dict[str, str]) -> float:
    """Start Python in a terminal of its own; give the milliseconds until `awaited` was written there."""
    began = time.perf_counter()
    child, terminal = pty.fork()
    if child == 0:
        os.chdir(ROOT)
        fcntl.ioctl(0, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
        settings = {**surroundings(), "TERM": "xterm-256color", "COLORTERM": "truecolor", **environ}
        os.execve(sys.executable, [sys.executable, *words], settings)  # noqa: S606 - our own command line
    shown = b""
    try:
        while time.perf_counter() - began < LONGEST:
            if select.select([terminal], [], [], 1.0)[0]:
                shown += os.read(terminal, 65536)
                if awaited in shown:
                    return 1000 * (time.perf_counter() - began)
    except OSError as error:
        raise RuntimeError(f"it ended without a picture: {shown[-500:]!r}") from error
    finally:
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        os.close(terminal)
    raise RuntimeError(f"no picture after {LONGEST} s: {shown[-500:]!r}")


if __name__ == "__main__":
    question, nothing = first_paints()
    print(f"first question {question:.0f} ms, bare application {nothing:.0f} ms: {question / nothing:.2f}×")
