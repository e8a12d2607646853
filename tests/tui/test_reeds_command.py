"""`canebrake reeds`: lists, shows, pins, renames, copies, looks through; says what to do when it cannot."""

import io
import json
import os
import subprocess
import sys
import tempfile
import textwrap
from collections.abc import Iterator
from datetime import UTC, datetime
from itertools import count
from pathlib import Path

import pytest

from kb.log.entry import Answered, EntryId, Renamed
from kb.log.fault import LogError
from kb.log.store import ReedLog
from kb.model import Answer
from tui.box import find, histories, log_path, no_such_reed, plain_text
from tui.choosing import by_words
from tui.cli.commands import run_commands
from tui.desk import ChosenRuleset, Desk
from tui.wiring import Surroundings

WHISTLE = str(Path(__file__).parents[1] / "golden" / "penny-whistle-voicing.yaml")
STUDIO = str(Path(__file__).parents[1] / "golden" / "penny-whistle-studio.yaml")


class Shell:
    def __init__(self, home: Path) -> None:
        self.home, self.numbers = home, count()
        self.out = self.err = ""

    def run(self, *words: str, typed: str = "") -> int:
        out, err = io.StringIO(), io.StringIO()
        around = Surroundings(
            stdin=io.StringIO(typed),
            stdout=out,
            stderr=err,
            environ={"CANEBRAKE_HOME": str(self.home)},
            clock=self.clock,
            ids=self.new_id,
        )
        code = run_commands(words, around)
        self.out, self.err = out.getvalue(), err.getvalue()
        return int(code)

    def clock(self) -> datetime:
        return datetime(2026, 11, 25, 9, 0, tzinfo=UTC)

    def new_id(self) -> str:
        return f"id-{next(self.numbers):04}"

    def make(self, name: str, *lines: str, rules: str = WHISTLE) -> None:
        typed = "".join(f"{line}\n" for line in (*lines, "stop"))
        assert self.run("interview", rules, "--plain", "--reed", name, typed=typed) == 0


@pytest.fixture
def shell(tmp_path: Path) -> Shell:
    return Shell(tmp_path / "home")


def test_an_empty_box_says_what_to_do_and_makes_no_file(shell: Shell) -> None:
    for words in (("reeds",), ("reeds", "list"), ("reeds", "check")):
        assert shell.run(*words) == 0
        assert "Begin one with: canebrake interview --reed NAME" in shell.out
    assert shell.run("reeds", "--json") == 0
    assert json.loads(shell.out) == {"reeds": []}
    for line in ("reeds show x", "reeds rename x y", "reeds backup f"):
        assert shell.run(*line.split()) == 2
        assert "Begin one with" in shell.err
    assert not shell.home.exists()


def test_reeds_are_listed_with_what_matters(shell: Shell) -> None:
    shell.make("Übereck 7", "grade concert", "blade Kerbe")
    assert shell.run("reeds") == 0
    assert shell.out == (
        "Übereck 7: concert; 1 sitting; blade up: Kerbe; last used 2026-11-25; "
        "rules: penny-whistle-voicing 1.0.0\n"
    )
    assert shell.run("reeds", "--json") == 0
    [reed] = json.loads(shell.out)["reeds"]
    assert (reed["name"], reed["grade"], reed["blade_up"], reed["sittings"]) == (
        "Übereck 7",
        "concert",
        "Kerbe",
        1,
    )
    assert reed["ruleset"]["id"] == "penny-whistle-voicing"


def test_a_reed_is_shown_with_its_story(shell: Shell) -> None:
    shell.make("Übereck 7", "1", "back", "3", "remark nicht übel")
    assert shell.run("reeds", "show", "übereck 7") == 0
    assert "Sitting 1, 2026-11-25" in shell.out
    assert "  Is the windway higher than it should be?: no" in shell.out
    assert "  Remark: nicht übel" in shell.out
    assert "higher than it should be?: yes" not in shell.out
    assert shell.run("reeds", "show", "Übereck 7", "--json") == 0
    kinds = [entry["kind"] for entry in json.loads(shell.out)["entries"]]
    assert kinds == ["made", "sitting", "answer", "taken-back", "answer", "remark"]


def test_a_reed_that_is_not_there_is_said_with_the_nearest_name(shell: Shell) -> None:
    shell.make("Übereck 7")
    assert shell.run("reeds", "show", "Übereck 8") == 2
    assert "No reed is called “Übereck 8”; did you mean “Übereck 7”?" in shell.err


def test_a_renamed_reed_keeps_its_story_and_no_two_get_one_name(shell: Shell) -> None:
    shell.make("a", "1")
    shell.make("b")
    assert shell.run("reeds", "rename", "a", "B") == 2
    assert "another reed is called “b” already" in shell.err
    assert shell.run("reeds", "rename", "a", "  Äpfel\u0308 ") == 0
    assert shell.run("reeds", "show", "äpfel\u0308") == 0
    assert "higher than it should be?: yes" in shell.out
    assert shell.run("reeds", "rename", "b", "\x07") == 2


def test_a_pinned_reed_says_so_and_a_ruleset_with_its_base_is_kept_whole(shell: Shell) -> None:
    shell.make("x", rules=STUDIO)
    assert shell.run("reeds", "pin", "x", WHISTLE) == 0
    assert shell.run("reeds") == 0
    assert "rules: penny-whistle-voicing 1.0.0 (pinned)" in shell.out
    shell.run("reeds", "show", "x", "--json")
    first = json.loads(shell.out)["entries"][0]["ruleset"]
    assert shell.run("reeds", "pin", "x", first[2][:12]) == 0
    assert shell.run("interview", "--plain", "--reed", "x", typed="stop\n") == 0
    chosen = by_words(STUDIO)
    assert isinstance(chosen, ChosenRuleset)
    assert chosen.bases
    assert f"Rules: {chosen.ruleset.title} {chosen.ruleset.version}." in shell.out


@pytest.mark.parametrize(
    "words, part",
    [
        (("pin", "x", "no-such-ruleset"), "no installed ruleset 'no-such-ruleset'"),
        (("pin", "y", WHISTLE), "No reed is called “y”"),
        (("units", "cubit"), "'cubit' is no unit for lengths; write mm or inch"),
        (("show",), "required: NAME (see canebrake reeds show --help)"),
        (("show", "two", "words"), "put words that belong together in quotes"),
        (("dance",), "dance"),
    ],
)
def test_every_mistake_is_a_sentence_and_exits_2(shell: Shell, words: tuple[str, ...], part: str) -> None:
    shell.make("x")
    assert shell.run("reeds", *words) == 2
    assert part in shell.err
    assert shell.err.count("\n") == 1


def test_a_copy_is_a_whole_log(shell: Shell, tmp_path: Path) -> None:
    shell.make("x", "1")
    target = tmp_path / "Kopie 1.db"
    assert shell.run("reeds", "backup", str(target)) == 0
    assert shell.run("reeds", "backup", str(target)) == 2
    assert "is there already" in shell.err
    other = Shell(tmp_path / "other")
    other.home.mkdir()
    target.rename(log_path(other.home))
    assert other.run("reeds", "show", "x") == 0
    assert "higher than it should be?: yes" in other.out


def test_a_log_goes_out_as_lines_and_comes_in_elsewhere_once(shell: Shell, tmp_path: Path) -> None:
    shell.make("Übereck", "1", "grade concert")
    target = tmp_path / "alles.jsonl"
    assert shell.run("reeds", "export", str(target)) == 0
    assert shell.run("reeds", "export") == 0
    assert shell.out == target.read_text(encoding="utf-8")
    other = Shell(tmp_path / "other")
    for told in ("Taken in: 4. There already: 0.", "Taken in: 0. There already: 4."):
        assert other.run("reeds", "import", str(target)) == 0
        assert told in other.out
    assert other.run("interview", "--plain", "--reed", "übereck", typed="stop\n") == 0
    assert "judged by the text of it that the log keeps" in " ".join(other.out.split())
    for bad in (tmp_path, tmp_path / "none", Path(__file__)):
        assert other.run("reeds", "import", str(bad)) == 2
        assert other.err.count("\n") == 1
    (tmp_path / "bytes").write_bytes(b"\xff\xfe")
    assert other.run("reeds", "import", str(tmp_path / "bytes")) == 2
    assert "not UTF-8" in other.err


def test_a_log_with_a_fault_exits_1_and_says_which(shell: Shell) -> None:
    shell.make("x", "1")
    assert shell.run("reeds", "check") == 0
    assert "The log is sound." in shell.out
    import sqlite3  # noqa: PLC0415 - only this test breaks something

    other = sqlite3.connect(log_path(shell.home))
    other.execute("INSERT INTO entry (id, reed, at, kind, body) VALUES ('bad', 'r', 't', 'answer', '{}')")
    other.commit()
    other.close()
    assert shell.run("reeds", "check") == 1
    assert "entry bad" in shell.out
    assert shell.run("reeds", "check", "--json") == 1
    assert len(json.loads(shell.out)["faults"]) == 1
    assert shell.run("reeds") == 2
    assert "damaged" in shell.err


def test_units_are_told_and_kept(shell: Shell) -> None:
    assert shell.run("reeds", "units") == 0
    assert "in mm" in shell.out
    assert shell.run("reeds", "units", "inch") == 0
    assert shell.run("reeds", "units") == 0
    assert "in inch" in shell.out


def test_a_name_from_elsewhere_cannot_steer_the_terminal(shell: Shell) -> None:
    shell.make("x")
    with ReedLog.open(log_path(shell.home)) as log:
        [entry, *_] = log.entries()
        from dataclasses import replace  # noqa: PLC0415 - only this test forges an entry

        log.append(replace(entry, id=EntryId("forged"), what=Renamed("\x1b[2J\u202eevil")))
    assert shell.run("reeds") == 0
    assert "\x1b" not in shell.out
    assert "\u202e" not in shell.out


def test_typed_text_loses_what_hides_and_keeps_what_shows() -> None:
    assert plain_text(" a\tb\u202e\x1b\u200d ♭♯ e\u0301 日本 ") == "a b ♭♯ é 日本"


def test_of_two_reeds_with_one_name_the_last_used_is_meant(shell: Shell) -> None:
    shell.make("x")
    with ReedLog.open(log_path(shell.home)) as log:
        reeds = histories(log)
        assert find(reeds, "X") is not None
        assert find(reeds, reeds[0].id) is reeds[0]
        assert "`canebrake reeds` lists them" in no_such_reed(reeds, "quite different")


def test_an_answer_that_cannot_be_written_is_not_taken_in_either(shell: Shell) -> None:
    chosen = by_words(WHISTLE)
    assert isinstance(chosen, ChosenRuleset)
    with ReedLog.open(log_path(shell.home)) as log:
        desk = Desk.with_reed(log, "x", None, chosen, clock=shell.clock, ids=shell.new_id)
        finding = chosen.ruleset.findings[0].id
        before = desk
        log.read_only = "The disk is read-only now."
        with pytest.raises(LogError, match="read-only now"):
            desk.say(Answered(finding, Answer.YES))
        assert desk == before
        assert desk.interview.case.present.answers == ()


AS_NOBODY = textwrap.dedent(
    """
    import io, os, sys, tempfile
    from tui.cli.commands import run_commands
    from tui.wiring import Surroundings

    def run(home, words, out):
        around = Surroundings(io.StringIO("1\\nstop\\n"), out, sys.stderr, {"CANEBRAKE_HOME": home})
        return int(run_commands(words, around))

    if os.geteuid() == 0:  # root may write everywhere; load all that is needed while we may read
        with tempfile.TemporaryDirectory() as elsewhere:
            run(elsewhere, ["interview", sys.argv[1], "--plain", "--reed", "x"], io.StringIO())
            run(elsewhere, ["reeds", "rename", "x", "y"], io.StringIO())
            run(elsewhere, ["reeds"], io.StringIO())
            run(elsewhere, ["interview", "--plain", "--reed", "y"], io.StringIO())
        os.setegid(65534)
        os.seteuid(65534)
    sys.exit(run(sys.argv[2], sys.argv[3:], sys.stdout))
    """
)


def as_nobody(home: Path, *words: str) -> "subprocess.CompletedProcess[str]":
    """Run a command as someone who may not write."""
    command = [sys.executable, "-c", AS_NOBODY, WHISTLE, str(home), *words]
    return subprocess.run(command, capture_output=True, text=True, check=False)


@pytest.fixture
def locked_shell() -> Iterator[Shell]:
    """Give a home with a log in it that nobody may write to, somewhere that everybody may enter."""
    with tempfile.TemporaryDirectory() as folder:
        Path(folder).chmod(0o755)
        shell = Shell(Path(folder) / "home")
        shell.make("x", "1")
        log_path(shell.home).chmod(0o444)
        shell.home.chmod(0o555)
        yield shell
        shell.home.chmod(0o755)


@pytest.mark.skipif(os.name == "nt", reason="permissions are other things there")
def test_a_read_only_log_is_read_and_said_to_be_read_only(locked_shell: Shell) -> None:
    before = log_path(locked_shell.home).read_bytes()
    listed = as_nobody(locked_shell.home, "reeds")
    assert listed.stdout.startswith("x: no grade yet; 1 sitting"), listed.stderr
    for words in (("interview", "--plain", "--reed", "x"), ("reeds", "rename", "x", "y")):
        done = as_nobody(locked_shell.home, *words)
        assert done.returncode == 2, done.stderr
        assert "cannot be written to: it or its folder is read-only." in done.stderr
        assert "Traceback" not in done.stderr
    assert log_path(locked_shell.home).read_bytes() == before


@pytest.mark.skipif(os.name == "nt", reason="permissions are other things there")
def test_a_data_folder_in_which_nothing_may_be_made_is_said(locked_shell: Shell) -> None:
    done = as_nobody(locked_shell.home / "new", "interview", WHISTLE, "--plain", "--reed", "x")
    assert done.returncode == 2
    assert "cannot be opened: Permission denied." in done.stderr


FULL = textwrap.dedent(
    """
    import io, resource, signal, sys
    from tui.cli.commands import run_commands
    from tui.wiring import Surroundings

    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv[3]),) * 2)
    lines = "".join(f"remark {'x' * 3000} {number}\\n" for number in range(400))
    around = Surroundings(io.StringIO(lines), sys.stdout, sys.stderr, {"CANEBRAKE_HOME": sys.argv[1]})
    sys.exit(int(run_commands(["interview", sys.argv[2], "--plain", "--reed", "x"], around)))
    """
)


@pytest.mark.skipif(os.name == "nt", reason="file size limits are Unix ones")
@pytest.mark.parametrize("most", [100, 5_000, 60_000, 300_000, 500_000])
def test_a_disk_that_takes_no_more_is_said_and_all_that_was_acknowledged_is_kept(
    shell: Shell, most: int
) -> None:
    # A limit on the size of a file makes the system refuse the write in the middle, as a full disk does.
    command = [sys.executable, "-c", FULL, str(shell.home), WHISTLE, str(most)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 2, done.stderr
    assert "canebrake: The disk with the reed log" in done.stderr
    assert "Traceback" not in done.stderr
    kept = done.stdout.count("Kept: Remark")
    assert shell.run("reeds", "check") == 0, shell.out
    if kept:
        assert shell.run("reeds", "show", "x", "--json") == 0
        kinds = [entry["kind"] for entry in json.loads(shell.out)["entries"]]
        assert kinds.count("remark") == kept
