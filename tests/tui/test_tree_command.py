"""`canebrake tree` in this process: files by suffix, progress on a terminal, the engine's own numbers."""

import json
from io import StringIO
from pathlib import Path

import pytest

from engine.ahead import Ahead
from engine.case import Case
from engine.chart import price
from engine.tree import grow
from kb.ids import FindingId
from kb.model import Answer
from tests.support.running import ROOT, environment, run_here
from tui.cli.commands import run_commands
from tui.exit_code import ExitCode
from tui.shelf import usable_ruleset
from tui.wiring import Surroundings

WHISTLE = str(ROOT / "tests" / "golden" / "penny-whistle-voicing.yaml")
LAMP = str(ROOT / "tests" / "commands" / "inputs" / "lamp.yaml")
DARK = "no-light=yes"


def test_json_says_what_the_engine_computed(tmp_path: Path) -> None:
    ran = run_here(["tree", LAMP, "--given", DARK, "--format", "json"], tmp_path)
    said = json.loads(ran.out)
    tree = grow(Ahead(usable_ruleset(LAMP)), Case().with_answer(FindingId("no-light"), Answer.YES))
    assert [one["id"] for one in said["steps"]] == [step.id or None for step in tree.steps]
    assert [one["reach"] for one in said["steps"]] == pytest.approx(
        [step.reach for step in tree.steps], abs=1e-6
    )
    assert said["cost"] == pytest.approx(tree.start.cost, abs=1e-6)
    assert said["optimum"]["searched"]
    assert said["optimum"]["gap"] >= 0.0


def test_a_chart_in_json_says_what_the_engine_computed(tmp_path: Path) -> None:
    ran = run_here(["tree", WHISTLE, "--chart", "first-lesson", "--format", "json"], tmp_path)
    said = json.loads(ran.out)
    ruleset = usable_ruleset(WHISTLE)
    priced = price(Ahead(ruleset), ruleset.charts[0], Case())
    assert said["minutes"] == pytest.approx(priced.minutes, abs=1e-6)
    assert said["ready_though_it_shows"] == pytest.approx(priced.false_ready, abs=1e-6)
    assert said["never_reached"] == list(priced.never_reached)


@pytest.mark.parametrize(
    "suffix, begins", [(".dot", "digraph"), (".gv", "digraph"), (".json", "{"), (".txt", "A desk lamp")]
)
def test_the_suffix_of_the_file_says_the_format(suffix: str, begins: str, tmp_path: Path) -> None:
    file = tmp_path / f"tree{suffix}"
    ran = run_here(["tree", LAMP, "--given", DARK, "-o", str(file)], tmp_path)
    assert (ran.code, ran.out) == (0, "")
    assert file.read_text(encoding="utf-8").startswith(begins)


def test_a_picture_needs_no_other_program(tmp_path: Path) -> None:
    file = tmp_path / "tree.svg"
    assert run_here(["tree", LAMP, "--given", DARK, "-o", str(file)], tmp_path).code == 0
    assert "Put in a new bulb" in file.read_text(encoding="utf-8")


def test_a_folder_that_is_not_there_is_said(tmp_path: Path) -> None:
    ran = run_here(["tree", LAMP, "-o", str(tmp_path / "nowhere" / "tree.txt")], tmp_path)
    assert ran.code == ExitCode.COULD_NOT_START
    assert "there is no folder" in ran.err


def test_progress_is_shown_on_a_terminal_and_wiped(tmp_path: Path) -> None:
    out, err = StringIO(), StringIO()
    around = Surroundings(StringIO(), out, err, environment(tmp_path), is_terminal=True)
    assert run_commands(["tree", LAMP, "--given", DARK], around) is ExitCode.DONE
    assert "% of reeds settled" in err.getvalue()
    assert err.getvalue().endswith(" \r")
    assert "\r" not in out.getvalue()


def test_what_is_clear_is_answered_no_unless_it_was_answered(tmp_path: Path) -> None:
    one = run_here(["tree", WHISTLE, "--clear", "response", "--given", "soft-notes-dull=yes"], tmp_path)
    other = run_here(
        ["tree", WHISTLE, "--given", "low-notes-break=no", "--given", "soft-notes-dull=yes"], tmp_path
    )
    assert one.out == other.out
    kept = run_here(["tree", WHISTLE, "--clear", "response", "--given", "low-notes-break=yes"], tmp_path)
    assert kept.out == run_here(["tree", WHISTLE, "--given", "low-notes-break=yes"], tmp_path).out


def test_a_whole_tree_says_that_nothing_was_searched(tmp_path: Path) -> None:
    ran = run_here(["tree", LAMP, "--given", DARK, "--whole"], tmp_path)
    assert "not searched for: the tree goes on through all priorities." in " ".join(ran.out.split())
