"""`canebrake rehearse` and `canebrake practice`, as a pipe, a program and an impatient author meet them."""

import json
from collections.abc import Iterator, Sequence
from io import StringIO
from pathlib import Path

import pytest

import tui.rehearsing
from engine.rehearse import Record
from kb.load import load_file
from kb.model import Ruleset
from tests.support.running import environment, run_here
from tui.cli.commands import run_commands
from tui.rehearsing import rehearsed
from tui.wiring import Surroundings

WHISTLE = str(Path(__file__).parents[1] / "golden" / "penny-whistle-voicing.yaml")
EVERYTHING = ("engine", "gain", "chart:first-lesson")


@pytest.fixture(scope="module")
def whistle() -> Ruleset:
    loaded = load_file(Path(WHISTLE)).ruleset
    assert loaded is not None
    return loaded


def by_number(records: Iterator[Record]) -> list[Record]:
    return sorted(records, key=lambda record: record.number)


def test_the_same_seed_gives_the_same_answer_in_one_process_and_in_two(whistle: Ruleset) -> None:
    alone = by_number(rehearsed(whistle, EVERYTHING, 20, 4, 1))
    together = by_number(rehearsed(whistle, EVERYTHING, 20, 4, 2))
    assert alone == together
    assert [record.number for record in alone] == list(range(20))
    assert by_number(rehearsed(whistle, EVERYTHING, 20, 5, 1)) != alone


def test_results_can_be_had_as_json(tmp_path: Path) -> None:
    words = ["rehearse", WHISTLE, "--reeds", "12", "--processes", "1", "--json", "--policy", "engine"]
    ran = run_here([*words, "--policy", "gain"], tmp_path)
    assert (ran.code, ran.err) == (0, "")
    told = json.loads(ran.out)
    assert [one["policy"] for one in told["policies"]] == ["engine", "gain"]
    assert told["reeds"] == 12
    for one in told["policies"]:
        assert one["minutes"]["low"] <= one["minutes"]["mean"] <= one["minutes"]["high"]
        counted = (one[ending]["count"] for ending in ("ready", "accepted", "set_aside", "left_open"))
        assert sum(counted) == 12
    assert [one["beside"] for one in told["at_equal_share_ready"]] == ["gain"]
    assert ran == run_here([*words, "--policy", "gain"], tmp_path)


def test_one_reed_has_means_and_no_intervals(tmp_path: Path) -> None:
    words = ["rehearse", WHISTLE, "--reeds", "1", "--processes", "1"]
    assert json.loads(run_here([*words, "--json"], tmp_path).out)["policies"][0]["minutes"]["low"] is None
    assert "inf" not in run_here([*words, "--causes"], tmp_path).out


def test_hidden_causes_are_told_when_asked_for(tmp_path: Path) -> None:
    words = ["rehearse", WHISTLE, "--reeds", "30", "--processes", "1", "--policy", "engine"]
    assert "damp-block" not in run_here(words, tmp_path).out
    assert "    damp-block: " in run_here([*words, "--causes"], tmp_path).out


def test_an_interrupted_rehearsal_tells_what_it_has(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def impatient(ruleset: Ruleset, names: Sequence[str], reeds: int, seed: int, _: int) -> Iterator[Record]:
        records = rehearsed(ruleset, names, reeds, seed, 1)
        for _number in range(3):
            yield next(records)
        raise KeyboardInterrupt

    monkeypatch.setattr(tui.rehearsing, "rehearsed", impatient)
    ran = run_here(["rehearse", WHISTLE, "--reeds", "50", "--policy", "engine"], tmp_path)
    assert ran.code == 130
    assert ran.out.startswith("Voicing a penny whistle 1.0.0: 3 virtual reeds")
    assert ran.err == "canebrake: interrupted after 3 of 50 reeds; what follows is of those.\n"


def test_a_rehearsal_stopped_before_its_first_reed_tells_no_figures(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def at_once(*_: object) -> Iterator[Record]:
        raise KeyboardInterrupt

    monkeypatch.setattr(tui.rehearsing, "rehearsed", at_once)
    ran = run_here(["rehearse", WHISTLE, "--reeds", "50", "--policy", "engine"], tmp_path)
    assert (ran.code, ran.out) == (130, "")
    assert (
        ran.err == "canebrake: interrupted before the first reed was played, so there is nothing to tell.\n"
    )


def test_progress_is_shown_on_a_terminal_only(tmp_path: Path) -> None:
    said = []
    for is_terminal in (False, True):
        err = StringIO()
        around = Surroundings(
            StringIO(), StringIO(), err, environ=environment(tmp_path), is_terminal=is_terminal
        )
        words = ["rehearse", WHISTLE, "--reeds", "3", "--processes", "1", "--policy", "engine"]
        assert run_commands(words, around) == 0
        said.append(err.getvalue())
    assert said[0] == ""
    assert "\r3 of 3 reeds" in said[1]


@pytest.mark.parametrize(
    "words, sentence",
    [
        (["--policy", "coin"], "there is no policy 'coin'; there are engine, likeliest"),
        (["--reeds", "0"], "--reeds takes a whole number from 1 to 100000, not '0'"),
        (["--reeds", "１２"], "--reeds takes a whole number"),
        (["--processes", "many"], "--processes takes a whole number from 1 to 64"),
        (["--seed", "-1"], "--seed"),
    ],
)
def test_a_wrong_rehearsal_is_one_sentence(tmp_path: Path, words: list[str], sentence: str) -> None:
    ran = run_here(["rehearse", WHISTLE, *words], tmp_path)
    assert ran.code == 2
    assert ran.out == ""
    assert sentence in ran.err


WELL = """
canebrake: 1
id: well
title: All is well
version: 1.0.0
priorities: [{id: response, title: Response}]
symptoms: {}
causes: {}
remedies: {}
"""


@pytest.mark.parametrize("command", ["rehearse", "practice"])
def test_a_ruleset_without_symptoms_has_nothing_to_play(tmp_path: Path, command: str) -> None:
    (tmp_path / "well.yaml").write_text(WELL, encoding="utf-8")
    ran = run_here([command, str(tmp_path / "well.yaml")], tmp_path)
    assert ran.code == 1
    assert "no reed has a symptom" in ran.err


def practised(tmp_path: Path, *lines: str, seed: int = 3) -> str:
    words = ["practice", WHISTLE, "--seed", str(seed), "--plain"]
    ran = run_here(words, tmp_path, given="".join(f"{line}\n" for line in lines))
    assert (ran.code, ran.err) == (0, "")
    return ran.out


def test_a_student_looks_does_and_is_told_what_it_cost(tmp_path: Path) -> None:
    told = practised(tmp_path, "play low", "measure windway", "so far", "do shim", "play low", "stop ready")
    assert "Is the windway higher than it should be? Yes." in told
    assert "3 minutes so far, sitting 1." in told
    assert "Slide one paper shim under the floor" in told
    assert "What was hidden: The windway is too tall." in told
    assert "1 Shim the windway floor (3 minutes)" in told
    assert "The engine would have done the same." in told
    assert "Score: 100 of 100." in " ".join(told.split())


def test_a_cut_carries_its_caution_and_its_price(tmp_path: Path) -> None:
    told = " ".join(practised(tmp_path, "do pare", "stop").split())
    assert "Caution: Blade away from the fingers." in told
    assert "1 cut" in told
    assert "no verdict; in truth something still shows" in told
    assert "The engine would have chosen: ask: Do the two lowest notes break" in told


def test_when_the_lines_end_the_review_comes_all_the_same(tmp_path: Path) -> None:
    told = practised(tmp_path)
    assert "The input ended." in told
    assert "Score: " in told


def test_what_is_not_understood_changes_nothing(tmp_path: Path) -> None:
    told = practised(tmp_path, "dance", "stop dancing", "feel", "?", "", "play \x1b[31mlow", "so far", "stop")
    assert "“dance” is nothing that can be typed here." in told
    assert "Begin with: play" in told
    assert "stop alone says nothing of it" in told
    assert "There is nothing of that kind with those words." in told
    assert "\x1b" not in told


def test_who_names_a_remedy_or_a_look_without_its_word_is_told_the_word(tmp_path: Path) -> None:
    told = practised(tmp_path, "shim", "low notes break", "shim floor", "stop")
    assert "To do that, type: do shim" in told
    assert "To do that, type: ask low notes break" in told
    assert "To do that, type: do shim floor" in told


def test_a_night_opens_a_sitting(tmp_path: Path) -> None:
    told = practised(tmp_path, "rest overnight", "so far", "stop accept")
    assert "It is done. This is sitting 2." in told
    assert "20 minutes so far, sitting 2." in told


def test_without_a_seed_the_reed_says_which_it_is(tmp_path: Path) -> None:
    out = StringIO()
    around = Surroundings(
        StringIO("stop\n"), out, StringIO(), environ=environment(tmp_path), ids=lambda: "0" * 31 + "7"
    )
    assert run_commands(["practice", WHISTLE], around) == 0
    assert "--seed 0 gives it again" in out.getvalue()


def test_a_review_without_a_step_has_no_gap_where_steps_would_stand(tmp_path: Path) -> None:
    assert "\n\n\n" not in practised(tmp_path, "stop ready")


def test_a_seed_that_is_no_number_is_one_sentence(tmp_path: Path) -> None:
    ran = run_here(["practice", WHISTLE, "--seed", "mine"], tmp_path)
    assert ran.code == 2
    assert "--seed takes a whole number" in ran.err
