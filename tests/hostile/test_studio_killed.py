"""Kill -9 in the middle of unpacking and updating: all of it or nothing, and the next run ends it."""

import os
from pathlib import Path

import pytest

from tests.support.running import run_python

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="this system has no fork")


def kills(what: str, folder: Path, seed: int, count: int) -> int:
    """Kill so often, and give how often that was before the end."""
    words = ["-m", "tests.support.studio_kills", what, str(folder), str(seed), str(count)]
    ran = run_python(words, folder)
    assert ran.code == 0, ran.err
    return int(ran.out)


@pytest.mark.parametrize("what", ["unpack", "update"])
def test_a_kill_leaves_all_or_nothing_and_the_next_run_ends_it(what: str, tmp_path: Path) -> None:
    assert kills(what, tmp_path, 3, 25) >= 10


@pytest.mark.long
@pytest.mark.parametrize("seed", range(10))
@pytest.mark.parametrize("what", ["unpack", "update"])
def test_a_thousand_kills_leave_all_or_nothing(what: str, seed: int, tmp_path: Path) -> None:
    assert kills(what, tmp_path, 100 + seed, 50) >= 20
