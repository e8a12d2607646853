"""`canebrake merge`: what is written, what is told, and git calling it."""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.support.running import ROOT, environment, run_here

GUIDE = ROOT / "docs" / "guides" / "merging"
BEFORE, TEACHER, STUDENT = (GUIDE / f"{name}.yaml" for name in ("before", "teacher", "student"))


def words(*more: str) -> list[str]:
    return ["merge", str(BEFORE), str(TEACHER), str(STUDENT), *more]


def test_a_conflict_is_told_with_both_sides_and_the_file_is_usable(tmp_path: Path) -> None:
    out = tmp_path / "merged.yaml"
    ran = run_here(words("-o", str(out)), tmp_path, width=300)
    assert (ran.code, ran.err) == (1, "")
    assert f"ours, {out}:11:18: occasional" in ran.out
    assert f"theirs, {STUDENT}:10:18: rare" in ran.out
    assert ran.out.endswith("2 changes taken, 1 conflict; it passes check\n")
    checked = run_here(["check", str(out)], tmp_path)
    assert checked.code == 0
    text = out.read_text(encoding="utf-8")
    assert "# Counted again in autumn." in text
    assert "# Heard twice this term" in text


def test_without_conflict_the_answer_is_yes(tmp_path: Path) -> None:
    out = tmp_path / "merged.yaml"
    ran = run_here(["merge", str(BEFORE), str(BEFORE), str(STUDENT), "-o", str(out)], tmp_path)
    assert ran.code == 0
    assert out.read_bytes() == STUDENT.read_bytes()


def test_the_result_may_replace_ours(tmp_path: Path) -> None:
    ours = tmp_path / "ours.yaml"
    shutil.copy(TEACHER, ours)
    ran = run_here(["merge", str(BEFORE), str(ours), str(STUDENT), "-o", str(ours)], tmp_path)
    assert ran.code == 1
    assert "too_far: The crow goes silent." in ours.read_text(encoding="utf-8")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["ours.yaml"]


def test_without_a_file_the_text_is_the_answer_and_the_rest_a_note(tmp_path: Path) -> None:
    ran = run_here(words(), tmp_path)
    assert ran.out.startswith("# The studio's own layer. An invented studio.\n")
    assert "In conflict" in ran.err
    assert "In conflict" not in ran.out


def test_a_result_that_does_not_pass_check_is_written_and_said_to_be_so(tmp_path: Path) -> None:
    ours, theirs, out = (tmp_path / f"{name}.yaml" for name in ("ours", "theirs", "out"))
    text = STUDENT.read_text(encoding="utf-8")
    # Ours speaks of a cause that theirs takes out: no key was changed twice, and yet it cannot be.
    ours.write_text(
        text.replace("minutes: 1,", "minutes: 1, provokes: {bocal-leaks: rarely},"), encoding="utf-8"
    )
    theirs.write_text(
        "".join(line for line in text.splitlines(keepends=True) if "bocal-leaks:" not in line),
        encoding="utf-8",
    )
    ran = run_here(["merge", str(STUDENT), str(ours), str(theirs), "-o", str(out)], tmp_path, width=200)
    assert ran.code == 1
    assert "no cause is called 'bocal-leaks' (unknown-reference)" in ran.out
    assert "1 change taken, no conflicts; it does not pass check: there is 1 error" in ran.out
    assert "bocal-leaks:" in out.read_text(encoding="utf-8")


def test_programs_are_told_the_same(tmp_path: Path) -> None:
    out = tmp_path / "merged.yaml"
    ran = run_here(words("-o", str(out), "--json"), tmp_path)
    answer = json.loads(ran.out)
    assert (ran.code, answer["clean"], answer["written"], answer["errors"]) == (1, False, str(out), [])
    assert [one["path"] for one in answer["taken"]] == [
        ["causes", "bocal-leaks"],
        ["remedies", "flatten-wire-2", "too_far"],
    ]
    (conflict,) = answer["conflicts"]
    assert conflict["path"] == ["causes", "throat-tight", "how_common"]
    assert [conflict[side]["value"] for side in ("before", "ours", "theirs")] == [
        "common",
        "occasional",
        "rare",
    ]


@pytest.mark.parametrize(
    "more,said",
    [
        (["--json"], "say with -o where the merged file goes"),
        (["-o", "no/such/folder/file.yaml"], "there is no folder"),
    ],
)
def test_what_cannot_be_done_is_refused(tmp_path: Path, more: list[str], said: str) -> None:
    ran = run_here(words(*more), tmp_path)
    assert ran.code == 2
    assert said in ran.err


@pytest.mark.parametrize("text", ["causes: [", "a: 1\na: 1\n", "", "\udcff"])
def test_a_broken_file_stops_it_and_nothing_is_written(tmp_path: Path, text: str) -> None:
    broken, out = tmp_path / "broken.yaml", tmp_path / "out.yaml"
    broken.write_bytes(text.encode("utf-8", "surrogateescape"))
    ran = run_here(["merge", str(BEFORE), str(TEACHER), str(broken), "-o", str(out)], tmp_path)
    assert ran.code == 2
    assert f"nothing was merged: {broken}:" in ran.err
    assert not out.exists()


def test_escapes_in_a_name_are_shown_and_not_obeyed(tmp_path: Path) -> None:
    ran = run_here(words("--at", "\x1b[2Jx.yaml", "-o", str(tmp_path / "out.yaml")), tmp_path)
    assert "\x1b" not in ran.out
    assert "\\x1b[2Jx.yaml" in ran.out


# -- git ------------------------------------------------------------------------------------------------

GIT = shutil.which("git")


@pytest.fixture
def repository(tmp_path: Path) -> Path:
    """Give a repository with the merge driver as the guide says, and two branches that disagree."""
    folder = tmp_path / "studio"
    (folder / "rules").mkdir(parents=True)
    git(folder, "init", "-q", "-b", "main")
    driver = f'"{sys.executable}" -m tui.cli.main merge %O %A %B -o %A --at %P'
    git(folder, "config", "merge.canebrake.name", "canebrake, by entry and by key")
    git(folder, "config", "merge.canebrake.driver", driver)
    (folder / ".gitattributes").write_text("rules/*.yaml merge=canebrake\n", encoding="utf-8")
    # A base beside it: found only by the place where the file belongs, not beside git's copies.
    layer = BEFORE.read_text(encoding="utf-8").replace("{id: bassoon, version: 1.0.0}", "{file: base.yaml}")
    shutil.copy(ROOT / "rulesets" / "bassoon.yaml", folder / "rules" / "base.yaml")
    commit(folder, "before", layer)
    return folder


def git(folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    assert GIT is not None
    env = environment(folder.parent, PATH=os.environ.get("PATH", ""), PYTHONPATH=str(ROOT))
    env |= {"GIT_CONFIG_NOSYSTEM": "1", "GIT_AUTHOR_NAME": "A", "GIT_AUTHOR_EMAIL": "a@example.org"}
    env |= {"GIT_COMMITTER_NAME": "A", "GIT_COMMITTER_EMAIL": "a@example.org"}
    return subprocess.run(
        [GIT, *words], cwd=folder, env=env, capture_output=True, text=True, check=False, timeout=60
    )


def commit(folder: Path, message: str, text: str) -> None:
    (folder / "rules" / "studio.yaml").write_text(text, encoding="utf-8")
    git(folder, "add", "-A")
    done = git(folder, "commit", "-q", "-m", message)
    assert done.returncode == 0, done.stderr


@pytest.mark.skipif(GIT is None, reason="git is not installed")
def test_git_merges_by_entry_and_key(repository: Path) -> None:
    before = (repository / "rules" / "studio.yaml").read_text(encoding="utf-8")
    git(repository, "checkout", "-q", "-b", "student")
    # Two changes on one line: git alone would call that a conflict.
    commit(
        repository, "student", before.replace("{minutes: 1}", "{minutes: 1, too_far: The crow goes silent.}")
    )
    git(repository, "checkout", "-q", "main")
    commit(repository, "teacher", before.replace("{minutes: 1}", "{minutes: 2}    # counted"))
    done = git(repository, "merge", "student")
    assert done.returncode == 0, done.stdout + done.stderr
    text = (repository / "rules" / "studio.yaml").read_text(encoding="utf-8")
    assert "  flatten-wire-2: {minutes: 2, too_far: The crow goes silent.}    # counted\n" in text
    assert git(repository, "status", "--porcelain").stdout == ""


@pytest.mark.skipif(GIT is None, reason="git is not installed")
def test_git_stops_at_a_conflict_and_leaves_a_file_that_can_be_used(repository: Path, tmp_path: Path) -> None:
    before = (repository / "rules" / "studio.yaml").read_text(encoding="utf-8")
    git(repository, "checkout", "-q", "-b", "student")
    commit(
        repository, "student", before.replace("{minutes: 1}", "{minutes: 3, too_far: The crow goes silent.}")
    )
    git(repository, "checkout", "-q", "main")
    commit(repository, "teacher", before.replace("{minutes: 1}", "{minutes: 2}"))
    done = git(repository, "merge", "student")
    assert done.returncode == 1
    said = " ".join(done.stdout.split())
    assert "remedies flatten-wire-2 minutes" in said
    assert "ours, rules/studio.yaml:13:20: 2" in said
    assert "theirs, rules/studio.yaml (theirs):13:20: 3" in said
    assert "it passes check" in said
    assert git(repository, "status", "--porcelain").stdout == "UU rules/studio.yaml\n"
    file = repository / "rules" / "studio.yaml"
    assert "{minutes: 2, too_far: The crow goes silent.}" in file.read_text(encoding="utf-8")
    assert run_here(["check", str(file)], tmp_path).code == 0
