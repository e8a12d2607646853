"""The bootstrap of a fresh clone, with the programs that it would start put in its place.

That it works with the real ones, without ensurepip, with an empty HOME and a bare PATH is shown by
`.ci/run`, which does it; here stands what it decides.
"""

import ast
import importlib.util
import subprocess
import sys
import textwrap
from pathlib import Path
from types import ModuleType, SimpleNamespace

import pytest

from tests.support.running import ROOT, environment

BOOTSTRAPS = (ROOT / "tui" / "__main__.py", ROOT / "tests" / "__main__.py")


class Clone:
    """A clone in a folder of its own, whose bootstrap starts only what is recorded here."""

    def __init__(self, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        self.folder = folder
        self.ran: list[list[str]] = []
        self.has = {"ensurepip", "venv", "pip"}
        self.own_pip = True
        self.pip_fails = False
        self.broken = False
        (folder / "tui").mkdir(parents=True)
        (folder / "pyproject.toml").write_text('[project]\nname = "canebrake"\n')
        (folder / "tui" / "__main__.py").write_bytes(BOOTSTRAPS[0].read_bytes())
        self.boot = self.load()
        monkeypatch.setattr(self.boot, "_run", self.run)
        monkeypatch.setattr(self.boot.importlib, "util", SimpleNamespace(find_spec=self.find_spec))

    def load(self) -> ModuleType:
        spec = importlib.util.spec_from_file_location("bootstrap", self.folder / "tui" / "__main__.py")
        assert spec is not None
        assert spec.loader is not None
        module = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(module)
        return module

    def find_spec(self, name: str) -> object | None:
        return name if name in self.has else None

    def run(self, command: list[str], quiet: bool = False) -> int:  # noqa: FBT001, FBT002, ARG002 - as the original
        python = str(self.boot.own_python())
        if command[0] == python and command[1] == "-c":
            return int(self.broken)
        if command == [python, "-m", "pip", "--version"]:
            return 0 if self.own_pip else 1
        self.ran.append(command)
        if "install" in command:
            return int(self.pip_fails)
        self.boot.own_python().parent.mkdir(parents=True, exist_ok=True)
        self.boot.own_python().write_text("python")
        (self.boot.PLACE / "pyvenv.cfg").write_text("home = x")
        self.broken = False
        self.own_pip = "--without-pip" not in command
        return 0

    def steps(self) -> list[str]:
        """Say in short what was started since the last time."""
        names = []
        for command in self.ran:
            words = [
                word
                for word in command
                if word in {"venv", "virtualenv", "--without-pip", "install", "--python"}
            ]
            names.append(" ".join([*words, command[-1]] if "install" in command else words))
        self.ran.clear()
        return names


@pytest.fixture
def clone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Clone:
    return Clone(tmp_path / "a clone", monkeypatch)


def test_the_first_run_makes_the_environment_and_the_second_does_nothing(clone: Clone) -> None:
    assert clone.boot.prepare() == clone.boot.own_python()
    assert clone.steps() == ["venv", "install ."]
    clone.boot.prepare()
    assert clone.steps() == []


def test_the_tests_get_their_extra_and_the_tool_then_needs_nothing_more(clone: Clone) -> None:
    clone.boot.prepare("test")
    assert clone.steps() == ["venv", "install .[test]"]
    clone.boot.prepare()
    assert clone.steps() == []


def test_the_extra_is_added_to_an_environment_that_lacks_it(clone: Clone) -> None:
    clone.boot.prepare()
    clone.steps()
    clone.boot.prepare("test")
    assert clone.steps() == ["install .[test]"]


def test_a_changed_pyproject_is_installed_again_with_the_extras_that_were_there(clone: Clone) -> None:
    clone.boot.prepare("test")
    clone.steps()
    (clone.folder / "pyproject.toml").write_text('[project]\nname = "canebrake"\nversion = "2"\n')
    clone.boot.prepare()
    assert clone.steps() == ["install .[test]"]


def test_a_run_that_was_killed_half_way_is_made_anew(clone: Clone) -> None:
    clone.boot.prepare()
    clone.steps()
    clone.boot.STAMP.unlink()
    clone.boot.WORK.touch()
    half = clone.boot.PLACE / "lib" / "half-copied"
    half.mkdir(parents=True)
    clone.boot.prepare()
    assert clone.steps() == ["venv", "install ."]
    assert not half.exists()
    assert not clone.boot.WORK.exists()


def test_an_environment_whose_python_is_gone_or_broken_is_made_anew(clone: Clone) -> None:
    clone.boot.prepare()
    clone.steps()
    clone.boot.own_python().unlink()
    clone.boot.prepare()
    assert clone.steps() == ["venv", "install ."]
    clone.broken = True
    clone.boot.STAMP.unlink()
    clone.boot.prepare()
    assert clone.steps() == ["venv", "install ."]


def test_an_environment_that_the_user_made_is_kept_and_installed_into(clone: Clone) -> None:
    clone.run(["python", "-m", "venv"])
    clone.steps()
    theirs = clone.boot.PLACE / "theirs"
    theirs.touch()
    clone.boot.prepare()
    assert clone.steps() == ["install ."]
    assert theirs.exists()


def test_a_moved_clone_and_another_python_do_not_match_the_stamp(clone: Clone) -> None:
    clone.boot.prepare()
    said = clone.boot.fingerprint()
    assert str(clone.folder) in said
    assert f"{sys.version_info[0]}.{sys.version_info[1]}" in said
    clone.boot.STAMP.write_text(said.replace("a clone", "another place") + "\nextras:\n")
    assert clone.boot.lacks("")


def test_without_ensurepip_virtualenv_serves(clone: Clone) -> None:
    clone.has = {"virtualenv"}
    clone.boot.prepare()
    assert clone.steps() == ["virtualenv", "install ."]


def test_without_ensurepip_and_virtualenv_the_running_pip_serves(clone: Clone) -> None:
    clone.has = {"venv", "pip"}
    clone.boot.prepare()
    assert clone.steps() == ["venv --without-pip", "--python install ."]


def test_without_any_way_a_sentence_says_what_to_install(clone: Clone) -> None:
    clone.has = {"venv"}
    with pytest.raises(clone.boot.BootstrapError, match="apt install python3-venv"):
        clone.boot.prepare()
    assert clone.boot.lacks("")


def test_a_failed_installation_is_said_and_the_next_run_tries_again(clone: Clone) -> None:
    clone.pip_fails = True
    with pytest.raises(clone.boot.BootstrapError, match=r"installing into \.venv failed"):
        clone.boot.prepare()
    clone.pip_fails = False
    clone.steps()
    clone.boot.prepare()
    assert clone.steps() == ["install ."]


def test_a_folder_that_cannot_be_written_is_a_sentence(clone: Clone) -> None:
    clone.boot.PLACE.write_text("a file in the way")
    with pytest.raises(clone.boot.BootstrapError, match=r"cannot make the environment in .*venv"):
        clone.boot.prepare()


def test_an_installed_copy_is_no_clone(clone: Clone) -> None:
    assert clone.boot.is_clone()
    (clone.folder / "pyproject.toml").write_text('[project]\nname = "another"\n')
    assert not clone.boot.is_clone()
    (clone.folder / "pyproject.toml").unlink()
    assert not clone.boot.is_clone()


def test_old_pythons_are_refused_with_a_sentence(
    clone: Clone, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert [clone.boot.is_old(version) for version in ((3, 10), (3, 11), (4, 0), (2, 7))] == [
        True,
        False,
        False,
        True,
    ]
    monkeypatch.setattr(clone.boot, "is_old", lambda: True)
    assert clone.boot.start("", (), "tui.cli.main", []) == 2
    assert "canebrake needs Python 3.11 or newer." in capsys.readouterr().err


@pytest.mark.parametrize("path", BOOTSTRAPS, ids=lambda path: path.parent.name)
def test_an_old_python_can_read_far_enough_to_refuse(path: Path) -> None:
    # Python 3.5 is the oldest that reads it: no f-strings, walrus, match, star-expression in an
    # index, or annotated names, and every annotation that it would not know stands in quotes.
    newer = (ast.JoinedStr, ast.NamedExpr, ast.Match, ast.AnnAssign, ast.TryStar, ast.AsyncFunctionDef)
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for part in ast.walk(tree):
        assert not isinstance(part, newer), getattr(part, "lineno", part)
        if isinstance(part, ast.FunctionDef):
            assert not part.args.posonlyargs
            notes = [argument.annotation for argument in part.args.args] + [part.returns]
            assert all(note is None or isinstance(note, ast.Name | ast.Constant) for note in notes)


@pytest.mark.skipif(sys.platform == "win32", reason="the lock is tried with Unix processes")
def test_two_runs_at_once_make_one_environment(clone: Clone) -> None:
    script = textwrap.dedent("""
        import importlib.util, pathlib, sys, time
        spec = importlib.util.spec_from_file_location("bootstrap", sys.argv[1])
        boot = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(boot)
        def run(command, quiet=False):
            with (boot.ROOT / "ran").open("a") as ran:
                ran.write(" ".join(command) + chr(10))
            if "venv" in command:
                time.sleep(0.7)
                boot.own_python().parent.mkdir(parents=True)
                boot.own_python().touch()
            return 0
        boot._run = run
        boot.prepare()
    """)
    command = [sys.executable, "-c", script, str(clone.folder / "tui" / "__main__.py")]
    running = [
        subprocess.Popen(command, env=environment(clone.folder), stderr=subprocess.PIPE) for _ in range(2)
    ]
    said = [one.communicate(timeout=30)[1].decode() for one in running]
    assert [one.returncode for one in running] == [0, 0]
    ran = (clone.folder / "ran").read_text().splitlines()
    assert sum(" -m venv " in line for line in ran) == 1
    assert sum(" install " in line for line in ran) == 1
    assert sum("waiting for another run" in err for err in said) == 1
