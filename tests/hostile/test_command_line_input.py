"""Bad input on the command line: one clear sentence, the right exit code, no traceback, nothing lost."""

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.support.running import ROOT, environment, run_canebrake, run_here

LAMP = ROOT / "tests" / "commands" / "inputs" / "lamp.yaml"
COMMANDS = (["check"], ["weigh"], ["trial"], ["map"])
by_command = pytest.mark.parametrize("command", COMMANDS, ids=lambda words: words[0])


def one_sentence(err: str) -> bool:
    return err.startswith("canebrake: ") and err.count("\n") == 1 and "Traceback" not in err


@by_command
def test_a_missing_file(command: list[str], tmp_path: Path) -> None:
    ran = run_here([*command, str(tmp_path / "none.yaml")], tmp_path)
    assert ran.code == 2
    assert one_sentence(ran.err)
    assert "there is no file" in ran.err


@by_command
def test_an_id_of_nothing_that_is_installed(command: list[str], tmp_path: Path) -> None:
    ran = run_here([*command, "bassoonn"], tmp_path)
    assert ran.code == 2
    assert one_sentence(ran.err)
    assert "did you mean 'bassoon'?" in ran.err


@by_command
@pytest.mark.parametrize("folder", ["{}/", ".", "plain-word"])
def test_a_folder(command: list[str], folder: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "plain-word").mkdir()
    monkeypatch.chdir(tmp_path)
    ran = run_here([*command, folder.format(tmp_path)], tmp_path)
    assert ran.code == 2
    assert one_sentence(ran.err)
    assert "is a folder, not a file" in ran.err


@pytest.mark.skipif(os.name == "nt" or os.geteuid() == 0, reason="root may read everything")
@by_command
def test_a_file_that_may_not_be_read(command: list[str], tmp_path: Path) -> None:
    secret = tmp_path / "secret.yaml"
    secret.write_text("x")
    secret.chmod(0)
    ran = run_here([*command, str(secret)], tmp_path)
    assert ran.code == 2
    assert one_sentence(ran.err)


@by_command
@pytest.mark.parametrize("name", ["a\0b.yaml", "x" * 5000 + ".yaml", "\udcff.yaml", "", "--", "\x1b[2J.yaml"])
def test_a_name_that_is_none(command: list[str], name: str, tmp_path: Path) -> None:
    ran = run_here([*command, name], tmp_path)
    assert ran.code == 2
    assert one_sentence(ran.err)
    assert "\x1b" not in ran.err
    ran.err.encode()


CONTENTS = {
    "binary": bytes(range(256)) * 40,
    "empty": b"",
    "latin-1": "canebrake: 1\ntitle: Rohrblätter\n".encode("latin-1"),
    "utf-16": "canebrake: 1\n".encode("utf-16"),
    "ten megabytes of [": b"[" * 10_000_000,
    "five megabytes of [": b"[" * 5_000_000,
    "another format": b"canebrake: 2\nid: x\n",
    "only a list": b"- 1\n- 2\n",
    "an alias bomb": b"a: &a [x, x]\nb: &b [*a, *a]\nc: [*b, *b]\n",
    "escapes": b'canebrake: 1\ntitle: "\\e[31mred"\n',
    "no line end and a nul": b"canebrake: 1\x00",
}


@pytest.mark.parametrize("content", CONTENTS.values(), ids=CONTENTS.keys())
def test_whatever_is_in_a_file_is_a_problem_with_a_place(content: bytes, tmp_path: Path) -> None:
    bad = tmp_path / "bad.yaml"
    bad.write_bytes(content)
    began = time.monotonic()
    ran = run_here(["check", "--json", str(bad)], tmp_path)
    assert time.monotonic() - began < 20
    assert (ran.code, ran.err) == (1, "")
    told = json.loads(ran.out)
    assert told["errors"] >= 1
    assert all(problem["file"] == str(bad) and problem["line"] >= 1 for problem in told["problems"])
    text = run_here(["check", str(bad)], tmp_path)
    assert text.code == 1
    assert f"{bad}:" in text.out
    assert "\x1b" not in text.out


@pytest.mark.parametrize("content", CONTENTS.values(), ids=CONTENTS.keys())
@pytest.mark.parametrize("command", COMMANDS[1:], ids=lambda words: words[0])
def test_a_ruleset_with_errors_starts_nothing(command: list[str], content: bytes, tmp_path: Path) -> None:
    bad = tmp_path / "bad.yaml"
    bad.write_bytes(content)
    ran = run_here([*command, str(bad)], tmp_path)
    assert (ran.code, ran.out) == (2, "")
    assert one_sentence(ran.err)
    assert "canebrake check" in ran.err


@pytest.mark.parametrize(
    "words, said",
    [
        (["--given", "no-ligth=yes"], "did you mean 'no-light'?"),
        (["--given", "no-light=ja"], "say yes, slightly, no or unsure"),
        (["--given", "=yes"], "--given takes ID=ANSWER"),
        (["--given", "no-light="], "--given takes ID=ANSWER"),
        (["--given", "\x1b[2J=yes"], "no finding is called"),
        (["--measure", "volt=3"], "did you mean 'volts'?"),
        (["--measure", "volts=nan"], "needs a number"),
        (["--measure", "volts=1e999"], "needs a number"),
        (["--measure", "volts=2_3"], "needs a number"),
        (["--measure", "volts=٣"], None),
        (["--measure", "volts=-1"], "lies between 0 and 400 V"),
        (["--sitting", "0"], "--sitting takes a whole number"),
        (["--sitting", "1.5"], "--sitting takes a whole number"),
        (["--sitting", "9" * 5000], "--sitting takes a whole number"),
        (["--rounds", "none.json"], "there is no file none.json"),
        (["--rounds", "."], "is a folder"),
        (["--js"], "unrecognized arguments: --js"),
        (["more", "words"], "unrecognized arguments: more words"),
    ],
)
def test_a_wrong_word_for_weigh(words: list[str], said: str | None, tmp_path: Path) -> None:
    ran = run_here(["weigh", str(LAMP), *words], tmp_path)
    if said is None:
        # Digits of another script are a number to Python, and may be to us.
        assert ran.code in {0, 2}
        return
    assert (ran.code, ran.out) == (2, "")
    assert one_sentence(ran.err)
    assert said in ran.err
    assert "\x1b" not in ran.err


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"{",
        b"[1]",
        b'[{"given": {}, "given": {}}]',
        b"[" * 100_000,
        "[ä".encode("latin-1"),
        b'[{"then": 3}]',
        b"null",
    ],
)
def test_a_wrong_rounds_file(content: bytes, tmp_path: Path) -> None:
    rounds = tmp_path / "rounds.json"
    rounds.write_bytes(content)
    ran = run_here(["weigh", str(LAMP), "--rounds", str(rounds)], tmp_path)
    assert (ran.code, ran.out) == (2, "")
    assert one_sentence(ran.err)
    assert "rounds.json: " in ran.err


def test_a_sitting_that_comes_before_the_rounds_told(tmp_path: Path) -> None:
    rounds = tmp_path / "rounds.json"
    rounds.write_text('[{"given": {}, "sitting": 3}, {"given": {}}]')
    ran = run_here(["weigh", str(LAMP), "--rounds", str(rounds), "--sitting", "2"], tmp_path)
    assert ran.code == 2
    assert "this is sitting 3" in ran.err


@pytest.mark.parametrize(
    "words",
    [["nonsense"], ["--nonsense"], ["-x"], ["check"], ["map", "a.yaml", "--format", "gif"], ["\x1b[2J"]],
)
def test_a_wrong_command_line(words: list[str], tmp_path: Path) -> None:
    ran = run_here(words, tmp_path)
    assert (ran.code, ran.out) == (2, "")
    assert one_sentence(ran.err)
    assert "\x1b" not in ran.err


def test_no_terminal_for_the_full_screen(tmp_path: Path) -> None:
    ran = run_canebrake([], tmp_path)
    assert (ran.code, ran.out) == (2, "")
    assert one_sentence(ran.err)
    assert "interview --plain" in ran.err


@pytest.mark.parametrize("width", [20, 40])
@by_command
def test_a_narrow_terminal_gets_an_answer_too(command: list[str], width: int, tmp_path: Path) -> None:
    ran = run_here([*command, str(LAMP)], tmp_path, width=width)
    assert ran.code == 0
    assert ran.out


def test_a_map_too_wide_for_the_terminal_becomes_an_outline_and_says_so(tmp_path: Path) -> None:
    ran = run_here(["map", str(LAMP)], tmp_path, width=30)
    assert "30 columns are too narrow for a drawing, so this is the outline; --about ID" in ran.err
    assert "comes from" in ran.out


def test_a_map_of_many_entries_becomes_an_outline_and_says_how_to_see_a_part(tmp_path: Path) -> None:
    ran = run_here(["map", "bassoon"], tmp_path, width=200)
    assert ran.code == 0
    assert "too many for a drawing, so this is the outline; --about ID" in ran.err
    assert "comes from" in ran.out


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no device that is always full")
@pytest.mark.parametrize(
    "words", [["check", str(LAMP)], ["map", str(LAMP)], ["--help"], ["weigh", str(LAMP), "--json"]]
)
def test_a_full_disk_behind_stdout(words: list[str], tmp_path: Path) -> None:
    with Path("/dev/full").open("wb") as full:
        done = subprocess.run(
            [sys.executable, "-m", "tui.cli.main", *words],
            cwd=ROOT, env=environment(tmp_path), stdout=full, stderr=subprocess.PIPE, check=False,
        )  # fmt: skip
    assert done.returncode == 2
    assert done.stderr.decode() == "canebrake: the answer could not be written: no space left on device.\n"


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no device that is always full")
def test_an_output_that_cannot_be_written_leaves_what_was_there(tmp_path: Path) -> None:
    ran = run_here(["map", str(LAMP), "-o", "/dev/full/x.txt"], tmp_path)
    assert ran.code == 2
    assert one_sentence(ran.err)
    ran = run_here(["map", str(LAMP), "-o", str(tmp_path / "none" / "x.txt")], tmp_path)
    assert ran.code == 2
    assert "there is no folder" in ran.err


def test_an_output_is_written_whole_and_by_its_suffix(tmp_path: Path) -> None:
    for name, begins in (("a.txt", "A desk lamp"), ("a.dot", "digraph"), ("a.gv", "digraph")):
        ran = run_here(["map", str(LAMP), "-o", str(tmp_path / name)], tmp_path)
        assert (ran.code, ran.out, ran.err) == (0, "", "")
        assert (tmp_path / name).read_text(encoding="utf-8").startswith(begins)
    ran = run_here(["map", str(LAMP), "-o", str(tmp_path / "b.svg"), "--format", "outline"], tmp_path)
    assert "comes from" in (tmp_path / "b.svg").read_text(encoding="utf-8")
    assert len(list(tmp_path.iterdir())) == 4


def test_a_reader_that_has_seen_enough_is_no_fault(tmp_path: Path) -> None:
    read, write = os.pipe()
    os.close(read)
    with os.fdopen(write, "wb") as broken:
        done = subprocess.run(
            [sys.executable, "-m", "tui.cli.main", "map", "bassoon", "--format", "outline"],
            cwd=ROOT, env=environment(tmp_path), stdout=broken, stderr=subprocess.PIPE, check=False,
        )  # fmt: skip
    assert done.stderr == b""
    assert done.returncode == 0


@pytest.mark.skipif(os.name == "nt", reason="signals and named pipes of Unix")
def test_ctrl_c_ends_a_command_with_one_line(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "never.yaml")
    running = subprocess.Popen(
        [sys.executable, "-m", "tui.cli.main", "check", str(tmp_path / "never.yaml")],
        cwd=ROOT, env=environment(tmp_path), stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    )  # fmt: skip
    time.sleep(1.0)
    running.send_signal(signal.SIGINT)
    out, err = running.communicate(timeout=20)
    assert (running.returncode, out) == (130, b"")
    assert err == b"canebrake: interrupted.\n"


@pytest.mark.skipif(os.name == "nt", reason="descriptors of Unix")
def test_closed_standard_streams_break_nothing(tmp_path: Path) -> None:
    command = f"{sys.executable} -m tui.cli.main check {LAMP} <&- >&- 2>&-"
    done = subprocess.run(["/bin/sh", "-c", command], cwd=ROOT, env=environment(tmp_path), check=False)
    assert done.returncode == 0


def test_a_terminal_of_another_encoding_gets_question_marks_and_no_crash(tmp_path: Path) -> None:
    ran = run_canebrake(["map", str(LAMP)], tmp_path, env={"PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"})
    assert ran.code == 0
    assert "? Does it stay dark?" in ran.out
