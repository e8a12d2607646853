"""Kills children at random moments of an act, and lets others run into a full disk; says what was lost.

Run as a program of its own, so that nothing but the act runs in what is forked:
`python -m tests.support.killing HOW MANY SEED`, HOW being `kill` or `fill`. Prints one line for each act.
"""

import os
import random
import resource
import signal
import sys
import tempfile
import time
from pathlib import Path
from typing import Final

from kb.disk import DiskError
from kb.log.fault import LogError
from tests.support.log_acts import ACTS, Act

_ROOM: Final = (0, 4096, 20_000, 60_000, 200_000, 600_000, 2_000_000)
"""Bytes that a file may have."""
_REFUSED: Final = 3
"""Exit code of a child whose act was refused with a sentence."""


def run(how: str, many: int, seed: int) -> int:
    """Try every act so many times; give the number of trials."""
    trials = 0
    for act in ACTS:
        chance = random.Random(f"{seed}:{act.name}")
        ended = [_trial(act, how, chance) for _ in range(many)]
        trials += len(ended)
        told = ", ".join(f"{ended.count(one)} {one}" for one in dict.fromkeys(ended))
        sys.stdout.write(f"{act.name}: {told}\n")
        sys.stdout.flush()
    return trials


def _trial(act: Act, how: str, chance: random.Random) -> str:
    """Lay the files out, let the act go wrong, look, and do it once more: then it must work."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        act.prepare(folder)
        if how == "kill":
            took = _how_long(act, folder)
            ended, acknowledged = _child(act, folder, chance.uniform(0.0, took), None)
        else:
            ended, acknowledged = _child(act, folder, None, chance.choice(_ROOM))
        act.holds(folder, acknowledged)
        again, promised = _child(act, folder, None, None)
        assert again == "done", again
        act.holds(folder, acknowledged | promised if act.name == "interview" else promised)
        return ended


def _how_long(act: Act, folder: Path) -> float:
    """Tell how long an act takes when nobody stops it, and lay its files out anew."""
    began = time.perf_counter()
    _child(act, folder, None, None)
    took = time.perf_counter() - began
    for one in folder.iterdir():
        one.unlink()
    act.prepare(folder)
    return took


def _child(act: Act, folder: Path, after: float | None, most: int | None) -> tuple[str, set[str]]:
    """Do the act in a child; give how it ended and what it had acknowledged."""
    reader, writer = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reader)
        os._exit(_act(act, folder, writer, most))
    os.close(writer)
    if after is not None:
        time.sleep(after)
        os.kill(child, signal.SIGKILL)
    with os.fdopen(reader, "rb") as pipe:
        told = pipe.read()
    _, status = os.waitpid(child, 0)
    # The last line may be cut off by the kill; it was not acknowledged in full.
    acknowledged = {line.decode() for line in told.split(b"\n")[:-1] if not line.startswith(b"!")}
    refused = [line for line in told.split(b"\n") if line.startswith(b"!")]
    if os.WIFSIGNALED(status):
        return "killed", acknowledged
    code = os.WEXITSTATUS(status)
    assert code in {0, _REFUSED}, f"{act.name}: {told!r}"
    assert (code == _REFUSED) == bool(refused)
    return ("refused" if refused else "done"), acknowledged


def _act(act: Act, folder: Path, writer: int, most: int | None) -> int:
    def ack(line: str) -> None:
        os.write(writer, f"{line}\n".encode())

    try:
        if most is not None:
            # Every file that grows past this is refused: what a full disk or a quota does.
            signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
            resource.setrlimit(resource.RLIMIT_FSIZE, (most, resource.RLIM_INFINITY))
        act.do(folder, ack)
    except (LogError, DiskError) as refusal:
        ack(f"!{refusal}")
        return _REFUSED if "\n" not in str(refusal) and len(str(refusal)) < 500 else 4
    except BaseException as error:  # noqa: BLE001 - whatever it was, the parent must hear of it
        ack(f"!{type(error).__name__}: {error}")
        return 5
    return 0


if __name__ == "__main__":
    run(sys.argv[1], int(sys.argv[2]), int(sys.argv[3]))
