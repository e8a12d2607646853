"""On forty columns every line of words fits; and no answer is written over what it was made from."""

import shutil
from io import StringIO
from pathlib import Path

import pytest

from tests.support.running import ROOT, run_here
from tui.draw.cells import cells
from tui.wiring import Surroundings

INPUTS = ROOT / "tests/commands/inputs"
WHISTLE = ROOT / "tests/golden/penny-whistle-voicing.yaml"


@pytest.mark.parametrize(
    "words",
    [
        ["check", "broken.yaml"],
        ["check", "warned.yaml"],
        ["trial", "doubtful.yaml"],
        ["trial", "lamp.yaml"],
        ["map", "lamp.yaml"],
        ["map", "lamp.yaml", "--format", "outline"],
    ],
    ids=" ".join,
)
def test_forty_columns_hold_every_line(
    tmp_path: Path, words: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    shutil.copytree(INPUTS, tmp_path / "inputs")
    monkeypatch.chdir(tmp_path / "inputs")
    narrow, wide = (run_here(words, tmp_path, width=width) for width in (40, 80))
    assert narrow.code == wide.code
    assert max(map(cells, narrow.out.splitlines())) <= 40, narrow.out
    if words[0] == "trial" or "outline" in words:  # drawings and quoted lines are cut to fit instead
        assert "".join(narrow.out.split()) == "".join(wide.out.split())


def test_in_a_pipe_lines_stay_whole_unless_columns_says_less() -> None:
    def fold(width: int, *, is_terminal: bool) -> int:
        return Surroundings(StringIO(), StringIO(), StringIO(), width=width, is_terminal=is_terminal).fold

    assert fold(80, is_terminal=False) > 10_000
    assert fold(40, is_terminal=False) == 40
    assert fold(80, is_terminal=True) == 80


@pytest.mark.parametrize("command", ["map", "tree"])
def test_an_answer_is_not_written_over_what_it_is_made_from(tmp_path: Path, command: str) -> None:
    path = tmp_path / "rules.yaml"
    path.write_bytes(WHISTLE.read_bytes())
    for words in ([], ["--force"]):
        ran = run_here([command, str(path), "-o", str(path), *words], tmp_path)
        assert ran.code == 2
        assert "is what this is made from" in ran.err
    assert path.read_bytes() == WHISTLE.read_bytes()


def test_a_file_of_another_kind_is_written_over_only_by_force(tmp_path: Path) -> None:
    other = tmp_path / "letter.yaml"
    other.write_text("dear")
    words = ["map", str(WHISTLE), "-o", str(other)]
    ran = run_here(words, tmp_path)
    assert (ran.code, other.read_text()) == (2, "dear")
    assert "--force" in ran.err
    assert run_here([*words, "--force"], tmp_path).code == 0
    assert other.read_text() != "dear"
    again = tmp_path / "map.txt"
    for _ in range(2):
        assert run_here(["map", str(WHISTLE), "-o", str(again)], tmp_path).code == 0


def test_a_rounds_file_is_an_input_too(tmp_path: Path) -> None:
    rounds = tmp_path / "rounds.json"
    rounds.write_text('[{"given": {}}]')
    words = ["tree", str(WHISTLE), "--rounds", str(rounds), "--format", "json", "-o", str(rounds), "--force"]
    assert run_here(words, tmp_path).code == 2
    assert rounds.read_text() == '[{"given": {}}]'


def test_an_export_is_not_written_over_the_log(tmp_path: Path) -> None:
    assert run_here(["reeds", "new", "No. 1"], tmp_path).code == 0
    log = tmp_path / "reeds.db"
    ran = run_here(["reeds", "export", str(log)], tmp_path)
    assert ran.code == 2
    assert "is what this is made from" in ran.err
    assert log.read_bytes().startswith(b"SQLite")
