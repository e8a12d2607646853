"""`canebrake reeds`: new, describe, played, grade, photo, take-back, restore, hand-over, tonight, measure."""

import io
import json
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path

import pytest

from kb.log.entry import Blank, Entry, EntryId, Graded, ReedId, ReedMade, Rested, SittingOpened, What
from kb.log.store import ReedLog
from tui.box import log_path
from tui.cli.commands import run_commands
from tui.wiring import Surroundings

WHISTLE = str(Path(__file__).parents[1] / "golden" / "penny-whistle-voicing.yaml")
NOW = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)


class Shell:
    def __init__(self, home: Path) -> None:
        self.home, self.numbers, self.now = home, count(), NOW
        self.out = self.err = ""

    def run(self, *words: str, typed: str = "", width: int = 80) -> int:
        out, err = io.StringIO(), io.StringIO()
        around = Surroundings(
            stdin=io.StringIO(typed),
            stdout=out,
            stderr=err,
            environ={"CANEBRAKE_HOME": str(self.home)},
            clock=lambda: self.now,
            ids=lambda: f"id-{next(self.numbers):04}",
            width=width,
        )
        code = run_commands(words, around)
        self.out, self.err = out.getvalue(), err.getvalue()
        return int(code)

    def did(self, *words: str, typed: str = "") -> str:
        assert self.run(*words, typed=typed) == 0, self.err
        return self.out

    def append(self, reed: str, *whats: What) -> None:
        with ReedLog.open(log_path(self.home)) as log:
            at = self.now.isoformat()
            log.append(
                *(Entry(EntryId(f"id-{next(self.numbers):04}"), ReedId(reed), at, None, w) for w in whats)
            )


@pytest.fixture
def shell(tmp_path: Path) -> Shell:
    return Shell(tmp_path / "home")


def test_a_new_reed_is_described_corrected_and_shown(shell: Shell) -> None:
    shell.did("reeds", "new", "Grün 1", "cane=Var 3", "made-on=2026-11-02", "blade-up=notch")
    shell.did("reeds", "describe", "grün 1", "cane=Var 4", "gouge=1.25 mm")
    told = shell.did("reeds", "show", "Grün 1")
    assert "cane Var 4" in told.split("Blank:")[0]
    assert "made on 2026-11-02" in told
    assert "  Blank: cane Var 3; made on 2026-11-02" in told
    shell.did("reeds", "describe", "Grün 1", "cane=")
    assert json.loads(shell.did("reeds", "show", "Grün 1", "--json"))["cane"] is None
    assert shell.run("reeds", "new", "GRÜN 1") == 2
    assert "another reed is called “Grün 1” already" in shell.err


@pytest.mark.parametrize(
    "words, part",
    [
        (("describe", "x", "colour=red"), "is not one of cane"),
        (("describe", "x", "made-on=yesterday"), "no date"),
        (("played", "x", "-1"), "no hours"),
        (("played", "x", "9999"), "no hours"),
        (("grade", "x", " "), "a grade is a word"),
        (("remark", "x", "\x1b"), "a remark has"),
        (("photo", "x", "a\x00b"), "cannot be kept"),
        (("take-back", "x", "99"), "no entry 99"),
        (("take-back", "x", "1"), "is not taken back"),
        (("tonight", "--concert", "2020-01-01"), "is over"),
        (("tonight", "--concert", "4.12."), "is no date"),
        (("tonight", "--need", "many"), "no number of reeds"),
        (("list", "--is", "mellow"), "invalid choice"),
        (("measure", "x"), "say what was measured"),
        (("strip", "1mm", "1mm"), "longer than it is thick"),
        (("strip", "1mm", "1kg"), "is no length"),
        (("restore", "nowhere.db", "--yes"), "There is no reed log"),
    ],
)
def test_every_slip_is_one_sentence(shell: Shell, words: tuple[str, ...], part: str) -> None:
    shell.did("reeds", "new", "x")
    assert shell.run("reeds", *words) == 2
    assert part in shell.err
    assert shell.err.count("\n") == 1


def test_the_box_is_filtered_by_how_its_reeds_stand(shell: Shell) -> None:
    shell.append("a", ReedMade("a"), Blank(cane="Var 3"), SittingOpened(1), Graded("concert"))
    shell.append("b", ReedMade("b"), SittingOpened(1), Rested(None, new_sitting=True))
    shell.append("c", ReedMade("c"), SittingOpened(1))
    shell.append("d", ReedMade("d"))
    shell.append("e", ReedMade("e"), SittingOpened(1), Graded("set aside"))

    def names(*words: str) -> set[str]:
        return {line.partition(":")[0] for line in shell.did("reeds", *words).splitlines()}

    assert names("--is", "ready") == {"a"}
    assert names("--is", "resting") == {"b"}
    assert names("list", "--is", "due", "--is", "new") == {"c", "d"}
    assert names("--cane", "var") == {"a"}
    assert names("--grade", "Set aside") == {"e"}
    assert names("--grade", "none such") == {"No reed is like that."}
    shell.now = NOW + timedelta(days=40)
    assert names("--is", "ageing") == {"a"}
    assert names("--is", "due") == {"b", "c"}
    assert names("--since", "2026-12-01") == {"No reed is like that."}


def test_what_was_entered_is_taken_back_by_its_number_and_stays_in_the_log(shell: Shell) -> None:
    shell.did("reeds", "new", "x")
    shell.did("reeds", "grade", "x", "concert", "even")
    shell.did("reeds", "played", "x", "90 min")
    assert "3 Played: 1.5 h" in shell.did("reeds", "show", "x", "--numbers")
    shell.did("reeds", "take-back", "x", "3")
    told = json.loads(shell.did("reeds", "show", "x", "--json"))
    assert (told["hours_played"], told["grade"], told["reason"]) == (0.0, "concert", "even")
    assert [entry["kind"] for entry in told["entries"]] == ["made", "grade", "played", "taken-back"]


def test_a_photo_is_kept_by_its_name_and_a_missing_file_is_said(shell: Shell, tmp_path: Path) -> None:
    shell.did("reeds", "new", "x")
    there = tmp_path / "tip.jpg"
    there.write_bytes(b"")
    assert shell.run("reeds", "photo", "x", str(there), "the tip") == 0
    assert shell.err == ""
    assert shell.run("reeds", "photo", "x", "nowhere.jpg") == 0
    assert "there is no file nowhere.jpg now" in shell.err
    assert "Photo: nowhere.jpg" in shell.did("reeds", "show", "x")


def test_a_copy_comes_back_after_asking_and_what_was_there_is_kept(shell: Shell, tmp_path: Path) -> None:
    shell.did("reeds", "new", "old")
    shell.did("reeds", "backup", str(tmp_path / "copy.db"))
    shell.did("reeds", "new", "new")
    assert shell.run("reeds", "restore", str(tmp_path / "copy.db"), typed="no\n") == 1
    assert "nothing was changed" in shell.err
    assert "Restored: 1 reeds, 1 entries." in shell.did(
        "reeds", "restore", str(tmp_path / "copy.db"), typed="yes\n"
    )
    assert [reed["name"] for reed in json.loads(shell.did("reeds", "--json"))["reeds"]] == ["old"]
    with ReedLog.open(shell.home / "reeds-until-2026-11-25-090000.db") as aside:
        assert {reed.name for reed in aside.histories()} == {"old", "new"}


def test_a_student_hands_a_reed_over_and_gets_it_back_with_more(shell: Shell, tmp_path: Path) -> None:
    teacher = Shell(tmp_path / "teacher")
    teacher.numbers = count(5000)
    shell.did("interview", WHISTLE, "--plain", "--reed", "x", typed="1\nstop\n")
    shell.did("reeds", "new", "mine")
    for one, other, told in ((shell, teacher, "Taken in: 3."), (teacher, shell, "Taken in: 1.")):
        one.did("reeds", "hand-over", "x", "-o", str(tmp_path / "x.jsonl"))
        assert told in other.did("reeds", "import", str(tmp_path / "x.jsonl"))
        if one is shell:
            teacher.did("reeds", "grade", "x", "concert", "try it on stage")
    assert "concert" in shell.did("reeds", "show", "x")
    assert "mine" not in teacher.did("reeds")


def test_two_reeds_of_one_name_are_told_apart_by_their_ids(shell: Shell, tmp_path: Path) -> None:
    other = Shell(tmp_path / "other")
    other.numbers = count(123456789012)
    shell.append("f" * 32, ReedMade("x"))
    other.append("e" * 32, ReedMade("x"))
    other.did("reeds", "export", str(tmp_path / "o.jsonl"))
    assert shell.run("reeds", "import", str(tmp_path / "o.jsonl")) == 0
    assert "several reeds are called “x”" in shell.err
    assert shell.run("reeds", "show", "x") == 2
    assert "name one by its id" in shell.err
    shell.did("reeds", "rename", "e" * 12, "y")
    assert shell.did("reeds", "show", "y").startswith("y\n")


def test_bare_evidence_leaves_the_house_without_names(shell: Shell) -> None:
    shell.did("interview", WHISTLE, "--plain", "--reed", "Secret", typed="1\nremark secret\nstop\n")
    told = shell.did("reeds", "export", "--bare")
    assert '"kind":"answer"' in told
    assert "ecret" not in told
    assert "2026" not in told


def test_tonight_says_what_is_ready_what_to_work_on_and_what_comes_too_late(shell: Shell) -> None:
    shell.append("r", ReedMade("ready one"), SittingOpened(3), Graded("concert"))
    for name in ("one", "two"):
        shell.did("interview", WHISTLE, "--plain", "--reed", name, typed="1\nstop\n")
    shell.did("reeds", "grade", "two", "set aside")
    assert shell.run("reeds", "tonight", "--concert", "2026-12-04", "--need", "3") == 1
    assert "ready one: ready" in shell.out
    assert "one: 2 more sittings, about" in shell.out
    assert "Tonight: one." in shell.out
    assert "two" not in shell.out.replace("2 more", "")
    assert "1 more is wanted than can be had." in shell.out
    told = json.loads(shell.did("reeds", "tonight", "--need", "1", "--concert", "2026-11-25", "--json"))
    assert told["ready"] == ["ready one"]
    assert [(one["name"], one["possible"]) for one in told["late"]] == [("one", 1)]


def test_readings_go_in_by_hand_once_and_open_the_sitting_that_is_due(shell: Shell) -> None:
    shell.did("interview", WHISTLE, "--plain", "--reed", "x", typed="3\nstop\n")
    shell.now = NOW + timedelta(days=1)
    words = ("reeds", "measure", "x", "windway-height=1.35mm", "windway-height=1,25", "--precision", "0.02mm")
    assert "Entered: 1 reading." in shell.did(*words)
    assert "nothing is doubled" in shell.did(*words)
    told = shell.did("reeds", "show", "x")
    assert "Sitting 2, 2026-11-26" in told
    assert "Windway height: 1.3 mm (mean of 1.35, 1.25), ± 0.02 mm" in told
    assert shell.run("reeds", "measure", "x", "windway-heigt=1") == 2
    assert "did you mean 'windway-height'?" in shell.err
    assert shell.run("reeds", "measure", "x", "windway-height=9") == 2
    assert "cannot be meant" in shell.err


BLADES = """blade;side;lane;at (mm);thickness (mm)
upper;;spine;13;0,66
upper;left;rail;13;0,41
upper;right;rail;13;0,36
lower;;spine;13;0,53
"""


def test_a_table_of_thicknesses_goes_in_whole_and_is_drawn_against_the_target(
    shell: Shell, tmp_path: Path
) -> None:
    table = tmp_path / "blades.csv"
    shell.did("interview", "bassoon", "--plain", "--reed", "x", typed="stop\n")
    table.write_text(BLADES.replace("0,41", "0,4l"), encoding="utf-8")
    assert shell.run("reeds", "measure", "x", "--csv", str(table)) == 2
    assert "line 3: '0,4l' is no thickness" in shell.err
    assert "No thickness of “x” was measured yet" in shell.did("reeds", "show", "x", "--thickness")
    table.write_text(BLADES, encoding="utf-8")
    assert "Entered: 4 places." in shell.did("reeds", "measure", "x", "--csv", str(table))
    assert "nothing is doubled" in shell.did("reeds", "measure", "x", "--csv", str(table))
    drawn = shell.did("reeds", "show", "x", "--thickness")
    assert "0.66 ▲" in drawn
    assert "0.53 =" in drawn
    assert "Left against right: upper left rail at 13 mm is 0.05 mm thicker" in drawn
    for width in (40, 20):
        assert shell.run("reeds", "show", "x", "--thickness", width=width) == 0
        assert max(map(len, shell.out.splitlines())) <= width + 5
    shell.did("reeds", "measure", "x", "at=0.51in", "lane=spine", "blade=lower", "value=21thou")
    assert "lower spine at" not in shell.did("reeds", "show", "x", "--thickness")
    assert shell.run("reeds", "show", "x", "--thickness", "no-such") == 2
    assert "they have medium" in shell.err


def test_two_reeds_are_laid_side_by_side(shell: Shell) -> None:
    shell.did("interview", WHISTLE, "--plain", "--reed", "a", typed="1\nstop\n")
    shell.did("reeds", "new", "b", "cane=Var 3")
    told = shell.did("reeds", "compare", "a", "b")
    assert "Is the windway higher" in told
    assert "Var 3" in told
    assert shell.run("reeds", "compare", "a", "nobody") == 2


def test_strokes_hours_and_photos_are_told_at_the_desk(shell: Shell) -> None:
    typed = "strokes 3\n1\ndid shim\nstrokes 2 windway\nstrokes many\n"
    typed += "played 30 min\nplayed x\nphoto tip.jpg\nstop\n"
    told = shell.did("interview", WHISTLE, "--plain", "--reed", "x", typed=typed)
    assert "No remedy was done yet." in told
    assert "such as: strokes 3" in " ".join(told.split())
    shown = shell.did("reeds", "show", "x")
    assert "    That was 2 strokes, Windway" in shown
    assert "  Played: 0.5 h" in shown
    assert "  Photo: tip.jpg" in shown
