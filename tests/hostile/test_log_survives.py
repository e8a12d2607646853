"""Whatever moment the power fails, whatever the disk refuses: nothing acknowledged is lost, nothing is half.

Each act on the log (interview, import, migration, backup, restore, export) is killed with -9 at random
moments, runs into a file that may not grow, or meets a fault injected between it and the disk. Then the
log is looked through as a whole, and the act must work when done once more. The suite runs a seeded
sample; `-m long` a thousand kills and two hundred faults.
"""

import random
import sqlite3
import sys
from pathlib import Path

import pytest

from kb.disk import DiskError
from kb.log.fault import LogError
from kb.log.store import ReedLog
from tests.support.faulty import FAULTS, Layer, between
from tests.support.log_acts import ACTS, Act, entries
from tests.support.running import run_python

UNIX = pytest.mark.skipif(sys.platform == "win32", reason="kills and quotas are said in Unix calls")
KILLS, FAULTS_EACH = 1000, 200
_RUNS = 50
"""Into so many runs of a program the kills are parted, so that none takes too long."""


def tried(how: str, many: int, seed: int, folder: Path) -> str:
    ran = run_python(["-m", "tests.support.killing", how, str(many), str(seed)], folder)
    assert ran.code == 0, ran.err[-2000:]
    assert [line.partition(":")[0] for line in ran.out.splitlines()] == [act.name for act in ACTS]
    return ran.out


@UNIX
def test_killed_at_a_few_random_moments_nothing_acknowledged_is_lost(tmp_path: Path) -> None:
    assert "killed" in tried("kill", 3, 5, tmp_path)


@UNIX
def test_files_that_may_not_grow_are_said_and_nothing_is_half_written(tmp_path: Path) -> None:
    assert "refused" in tried("fill", 2, 5, tmp_path)


@pytest.mark.long
@UNIX
def test_a_thousand_kills_lose_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for seed in range(_RUNS):
        told = tried("kill", -(-KILLS // len(ACTS) // _RUNS), seed, tmp_path)
        with capsys.disabled():
            print(told)


@pytest.mark.long
@UNIX
def test_two_hundred_full_files_lose_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for seed in range(5):
        told = tried("fill", -(-FAULTS_EACH // len(ACTS) // 5), 100 + seed, tmp_path)
        with capsys.disabled():
            print(told)


def injected(act: Act, folder: Path, chance: random.Random) -> str:
    """Let one call of an act fail; give how it ended: refused, or done in spite of it."""
    folder.mkdir()
    act.prepare(folder)
    counting = Layer(FAULTS[0], 0)
    with between(counting):
        act.do(folder, lambda _: None)
    for one in folder.iterdir():
        one.unlink()
    act.prepare(folder)
    fault = chance.choice(FAULTS)
    layer, acknowledged = Layer(fault, chance.randint(1, counting.calls)), set[str]()
    said = ""
    with between(layer):
        try:
            act.do(folder, acknowledged.add)
        except (LogError, DiskError) as refusal:
            said = str(refusal)
    assert not said or (10 < len(said) < 500 and "\n" not in said)
    act.holds(folder, acknowledged)
    # What is half done is cleared away, unless clearing away was what the disk refused.
    assert layer.hit == "unlink" or not [one for one in folder.iterdir() if one.suffix == ".part"]
    act.do(folder, acknowledged.add)
    act.holds(folder, acknowledged)
    return f"{fault.name}: {'refused' if said else 'done in spite of it'}"


@pytest.mark.parametrize("act", ACTS, ids=lambda act: act.name)
def test_a_fault_at_any_call_is_a_sentence_and_nothing_is_lost(act: Act, tmp_path: Path) -> None:
    chance = random.Random(f"sample {act.name}")
    for number in range(3):
        injected(act, tmp_path / str(number), chance)


@pytest.mark.long
def test_two_hundred_injected_faults_lose_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    chance = random.Random("long")
    ended = [injected(chance.choice(ACTS), tmp_path / str(number), chance) for number in range(FAULTS_EACH)]
    with capsys.disabled():
        print({one: ended.count(one) for one in sorted(set(ended))})
    assert any(one.endswith("refused") for one in ended)


def test_a_log_that_another_program_holds_is_said_and_goes_on_afterwards(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("kb.log.opening._WAIT", 0.05)
    monkeypatch.setattr("kb.log.copies._PAUSE", 0.001)
    path = tmp_path / "reeds.db"
    with ReedLog.open(path) as log, ReedLog.open(tmp_path / "copy.db") as copy:
        log.append(*entries("old"))
        copy.append(*entries("copy"))
        other = sqlite3.connect(path, isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(LogError, match="Another program"):
            log.append(*entries("new"))
        with pytest.raises(LogError, match="Another program"):
            log.become(copy)
        other.execute("COMMIT")
        other.close()
        assert log.count() == len(entries("old"))
        log.become(copy)
        log.append(*entries("new"))
        assert log.faults() == ()
