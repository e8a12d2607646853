"""What surrounds the program is read in one place, and can be said instead."""

import subprocess
import sys
from datetime import timedelta
from io import StringIO
from pathlib import Path

import pytest

from tests.support.running import ROOT, environment, run_python
from tui.wiring import Surroundings, here

PRINT = "from tui.wiring import here; a = here(); print(a.width, a.colour, a.is_terminal, a.data_folder)"


def around(**said: str) -> Surroundings:
    return Surroundings(StringIO(), StringIO(), StringIO(), environ=said)


def test_one_variable_moves_everything_that_is_kept(tmp_path: Path) -> None:
    there = around(CANEBRAKE_HOME=str(tmp_path))
    assert there.data_folder == there.config_folder == tmp_path


def test_without_it_the_systems_own_folders_are_used() -> None:
    assert around().data_folder.name == "canebrake"
    assert around().config_folder.name == "canebrake"


def test_the_time_knows_its_zone_and_ids_are_never_the_same() -> None:
    there = around()
    assert there.now().utcoffset() is not None
    assert abs(there.now() - here().now()) < timedelta(minutes=1)
    assert len({there.new_id() for _ in range(1000)}) == 1000


@pytest.mark.parametrize(
    "said, width", [("100", 100), ("3", 80), ("-1", 80), ("many", 80), ("", 80), ("٨٠٠", 80)]
)
def test_the_width_is_what_columns_says_if_it_makes_sense(said: str, width: int, tmp_path: Path) -> None:
    ran = run_python(["-c", PRINT], tmp_path, env={"COLUMNS": said})
    assert ran.out.split()[0] == str(width)


def test_in_a_pipe_there_is_no_terminal_and_no_colour(tmp_path: Path) -> None:
    ran = run_python(["-c", PRINT], tmp_path, env={"NO_COLOR": ""})
    assert ran.out.split()[1:] == ["False", "False", str(tmp_path)]


@pytest.mark.skipif(sys.platform == "win32", reason="pseudo-terminals of Unix")
@pytest.mark.parametrize(
    "said, colour, is_terminal",
    [
        ({"TERM": "xterm", "NO_COLOR": ""}, True, True),
        ({"TERM": "xterm", "NO_COLOR": "1"}, False, True),
        ({"TERM": "dumb", "NO_COLOR": ""}, False, False),
    ],
)
def test_on_a_terminal_colour_is_allowed_unless_it_is_declined(
    said: dict[str, str], tmp_path: Path, *, colour: bool, is_terminal: bool
) -> None:
    import pty  # noqa: PLC0415 - not on Windows

    control, terminal = pty.openpty()
    subprocess.run(
        [sys.executable, "-c", PRINT],
        cwd=ROOT, env=environment(tmp_path, **said), stdin=terminal, stdout=terminal, check=True,
    )  # fmt: skip
    import os  # noqa: PLC0415 - the same

    assert os.read(control, 1000).decode().split()[1:3] == [str(colour), str(is_terminal)]
