"""`check --mend`, `--watch` and `--about`: what they show, ask, write, and how they end."""

import json
import os
import re
import subprocess
import sys
import tomllib
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from io import StringIO
from pathlib import Path

import pytest

from kb.checks.catalogue import CATALOGUE
from kb.checks.reading_pages import page
from kb.problem import CheckName, Problem
from kb.text import Span
from tests.support.running import PATIENCE, ROOT, Ran, environment, run_canebrake, run_here
from tui.cli.commands import run_commands
from tui.cli.report import coloured, problem_lines
from tui.draw.literal import literal
from tui.wiring import Surroundings

SOUND = (ROOT / "tests" / "golden" / "penny-whistle-voicing.yaml").read_text("utf-8")
SLIPPED = SOUND.replace("windway-too-tall: usually", "windway-too-tal: usually")


def ran(words: list[str], home: Path, change: Callable[[Surroundings], Surroundings]) -> Ran:
    out, err = StringIO(), StringIO()
    around = change(Surroundings(StringIO(), out, err, environment(home)))
    return Ran(int(run_commands(words, around)), out.getvalue(), err.getvalue())


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "whistle.yaml"
    path.write_text(SLIPPED, "utf-8")
    return path


def test_without_a_terminal_a_mend_is_shown_and_not_made(file: Path, tmp_path: Path) -> None:
    found = run_here(["check", "--mend", str(file)], tmp_path)
    assert found.code == 1
    assert "+    cures: {windway-too-tall: usually}" in found.out.splitlines()
    assert "--yes" in found.err
    assert file.read_text("utf-8") == SLIPPED


def test_with_yes_it_is_made_and_what_is_left_is_said(file: Path, tmp_path: Path) -> None:
    found = run_here(["check", "--mend", "--yes", str(file)], tmp_path)
    assert (found.code, file.read_text("utf-8")) == (0, SOUND)
    assert found.out.splitlines()[-1] == f"mended 1 problem; left: {file}: no problems"
    again = run_here(["check", "--mend", "--yes", str(file)], tmp_path)
    assert again.out.startswith("nothing that can be mended")


@pytest.mark.parametrize("said, is_made", [("yes\n", True), ("y\n", True), ("no\n", False), ("", False)])
def test_on_a_terminal_it_is_asked(said: str, file: Path, tmp_path: Path, *, is_made: bool) -> None:
    words = ["check", "--mend", str(file)]
    found = ran(words, tmp_path, lambda around: replace(around, stdin=StringIO(said), is_terminal=True))
    assert (found.code == 0) == is_made
    assert file.read_text("utf-8") == (SOUND if is_made else SLIPPED)


def test_what_is_left_counts_for_the_exit_code(file: Path, tmp_path: Path) -> None:
    file.write_text(SLIPPED.replace("by: play ", "by: listen "), "utf-8")
    found = run_here(["check", "--mend", "--yes", str(file)], tmp_path)
    assert found.code == 1
    assert "'listen' is not a word for this" in found.out


def test_an_installed_ruleset_is_not_mended(tmp_path: Path) -> None:
    found = run_here(["check", "--mend", "--yes", "bassoon"], tmp_path)
    assert (found.code, found.out) == (2, "")


@pytest.mark.parametrize(
    "words",
    [
        [],
        ["--yes", "x.yaml"],
        ["--about", "island", "x.yaml"],
        ["--mend", "--deep", "x.yaml"],
        ["--mend", "--json", "x"],
    ],
)
def test_words_that_do_not_go_together_are_refused(words: list[str], tmp_path: Path) -> None:
    assert run_here(["check", *words], tmp_path).code == 2


def test_problems_say_that_they_can_be_mended(file: Path, tmp_path: Path) -> None:
    assert (
        run_here(["check", str(file)], tmp_path).out.splitlines()[-1].endswith("can be mended: check --mend")
    )
    (problem,) = json.loads(run_here(["check", "--json", str(file)], tmp_path).out)["problems"]
    assert [change["text"] for change in problem["mend"]] == ["windway-too-tall"]


class Editor:
    """Stands for the time that passes: at each pause somebody may save a file, and at last ends it."""

    def __init__(self, *saves: Callable[[], object]) -> None:
        self.saves = list(saves)
        self.pauses: list[float] = []

    def __call__(self, seconds: float) -> None:
        self.pauses.append(seconds)
        if len(self.pauses) % 3:
            return
        if not self.saves:
            raise KeyboardInterrupt
        self.saves.pop(0)()

    def around(self, around: Surroundings) -> Surroundings:
        return replace(around, pause=self, clock=lambda: datetime(2026, 1, 2, 3, 4, 5, tzinfo=UTC))


def test_a_watched_file_is_checked_at_every_save_until_ctrl_c(file: Path, tmp_path: Path) -> None:
    def renamed_over() -> None:
        other = tmp_path / "new"
        other.write_text(SLIPPED, "utf-8")
        other.replace(file)

    editor = Editor(lambda: file.write_text(SOUND, "utf-8"), renamed_over, file.unlink)
    found = ran(["check", "--watch", str(file)], tmp_path, editor.around)
    assert found.code == 130
    sums = [line for line in found.out.splitlines() if line.startswith(f"{file}: ")]
    assert [line.split(": ")[1][:7] for line in sums] == ["1 error", "no prob", "1 error"]
    assert found.out.count("--- 03:04:05 saved, checked again ---") == 3
    assert f"there is no file {file}" in found.err
    assert min(editor.pauses) >= 0.1  # it waits between two looks


def test_a_base_that_is_saved_is_checked_again_too(tmp_path: Path) -> None:
    base, upper = tmp_path / "base.yaml", tmp_path / "upper.yaml"
    base.write_text(SOUND, "utf-8")
    upper.write_text(
        "canebrake: 1\nid: upper\ntitle: U\nversion: 1.0.0\nextends: {file: base.yaml}\n", "utf-8"
    )
    editor = Editor(lambda: base.write_text(SLIPPED, "utf-8"))
    found = ran(["check", "--watch", str(upper)], tmp_path, editor.around)
    assert f"{upper}: no problems" in found.out
    assert f"{upper}: 1 error" in found.out


@pytest.mark.parametrize("check", [check.name for check in CATALOGUE])
@pytest.mark.parametrize("width", [40, 100])
def test_the_page_of_every_check_is_printed_and_wrapped(check: str, width: int, tmp_path: Path) -> None:
    found = run_here(["check", "--about", check], tmp_path, width=width)
    lines = found.out.splitlines()
    assert (found.code, lines[0]) == (0, check)
    assert "WHEN TO ALLOW IT" in lines
    assert "```" not in found.out
    prose = [line for line in lines if not line.startswith("    ")]
    assert max(map(len, prose)) <= max(width, *(len(word) for line in prose for word in line.split()))


def test_an_unknown_check_is_told_with_the_nearest(tmp_path: Path) -> None:
    found = run_here(["check", "--about", "ilsand"], tmp_path)
    assert (found.code, found.out) == (2, "")
    assert "did you mean 'island'?" in found.err


def test_without_a_name_all_checks_are_listed_by_what_they_are_about(tmp_path: Path) -> None:
    found = run_here(["check", "--about"], tmp_path)
    listed = [line.split()[0] for line in found.out.splitlines() if line.startswith("  ") and line[2] != " "]
    assert sorted(listed) == sorted(check.name for check in CATALOGUE)


def test_the_pages_are_part_of_what_is_installed() -> None:
    # Hatch copies the folder into the wheel; `page` looks there first. Built and tried by hand too.
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    included = project["tool"]["hatch"]["build"]["targets"]["wheel"]["force-include"]
    assert included == {"docs/checks": "kb/checks/pages"}
    assert all(page(check.name) for check in CATALOGUE)
    assert page("../../README") is None


@pytest.mark.skipif(sys.platform == "win32", reason="pseudo-terminals of Unix")
@pytest.mark.parametrize(
    "said, is_coloured",
    [({"NO_COLOR": ""}, True), ({"NO_COLOR": "1"}, False), ({"NO_COLOR": "", "TERM": "dumb"}, False)],
)
def test_problems_are_coloured_on_a_terminal_and_say_the_same_without(
    said: dict[str, str], file: Path, tmp_path: Path, *, is_coloured: bool
) -> None:
    words = ["check", str(file)]
    piped = run_canebrake(words, tmp_path, env={"NO_COLOR": ""})
    shown = on_a_terminal(words, tmp_path, {"TERM": "xterm", "COLUMNS": "200", **said})
    assert ("\x1b[1;31merror\x1b[0m: " in shown) == ("\x1b[1;31m^^^" in shown) == is_coloured
    assert "\x1b" not in piped.out
    assert re.sub(r"\x1b\[[0-9;]*m", "", shown).split() == piped.out.split()


def on_a_terminal(words: list[str], home: Path, said: dict[str, str]) -> str:
    """Give what `canebrake` writes where its output is a terminal."""
    import pty  # noqa: PLC0415 - not on Windows

    control, terminal = pty.openpty()
    subprocess.run(
        [sys.executable, "-m", "tui.cli.main", *words],
        cwd=ROOT, env=environment(home, **said), stdout=terminal, check=False, timeout=PATIENCE,
    )  # fmt: skip
    os.close(terminal)
    with open(control, "rb", buffering=0) as reader:  # noqa: PTH123 - a descriptor, and no path
        return reader.read(100_000).decode()


def test_what_a_ruleset_says_cannot_colour_the_terminal() -> None:
    place = Span("a \x1b[31m error: b.yaml", 3, 5, 3, 8)
    problem = Problem(place, CheckName("unknown-reference"), "\x1b[7mnothing", "try ^ this")
    shown = coloured(problem_lines(problem, "abc ^^^ \x1b[1m", 80), problem)
    assert "\n".join(shown).count("\x1b") == 4
    assert re.sub(r"\x1b\[(1;31|0)m", "", "\n".join(shown)) == "\n".join(
        literal(line) for line in problem_lines(problem, "abc ^^^ \x1b[1m", 80)
    )
