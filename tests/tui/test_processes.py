"""Processes that share work: they end with the one that sent it, however that one ended."""

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from tests.support.running import ROOT, environment

AT_WORK = """
import sys, time
from tui.processes import shared_out

def begin(said):
    print(said, flush=True)

def work(portion):
    print("at work", flush=True)
    time.sleep(100)
    return [portion]

if __name__ == "__main__":
    list(shared_out(work, [1, 2], 2, begin, "begun"))
"""
ENDINGS = ["SIGTERM", "SIGHUP", "SIGKILL"] if sys.platform != "win32" else ["SIGTERM"]


@pytest.mark.parametrize("ending", ENDINGS)
def test_no_process_goes_on_when_the_first_is_gone(ending: str, tmp_path: Path) -> None:
    script = tmp_path / "at_work.py"
    script.write_text(AT_WORK, "utf-8")
    first = subprocess.Popen(
        [sys.executable, str(script)],
        env={**environment(tmp_path), "PYTHONPATH": str(ROOT)}, stdout=subprocess.PIPE, text=True,
    )  # fmt: skip
    with first:
        assert first.stdout is not None
        said = [first.stdout.readline() for _ in range(4)]
        assert sorted(said) == ["at work\n", "at work\n", "begun\n", "begun\n"]
        os.kill(first.pid, getattr(signal, ending))
        # The pipe is shared by all of them: its end is read when the last one is gone.
        rest, _ = first.communicate(timeout=60)
        assert rest == ""


def test_other_processes_are_started_in_one_place() -> None:
    starting = [
        path.name for path in (ROOT / "tui").rglob("*.py") if "PoolExecutor(" in path.read_text("utf-8")
    ]
    assert starting == ["processes.py"]
