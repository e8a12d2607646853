"""The house keeps its layers: what is imported by whom, asked of fresh interpreters."""

import ast
import sys
import tomllib
from pathlib import Path

import pytest

from tests.support.running import run_python
from tui.cli.commands import NAMES, help_text
from tui.cli.main import VERSION

ROOT = Path(__file__).resolve().parents[2]
GOLDEN = "tests/golden/penny-whistle-voicing.yaml"
CHECK = f"""
import sys
sys.argv = ["canebrake", "check", {GOLDEN!r}]
from tui.cli.main import run
assert run() == 0
"""


def modules_under(*folders: str) -> list[str]:
    found = []
    for folder in folders:
        for path in sorted((ROOT / folder).rglob("*.py")):
            parts = path.relative_to(ROOT).with_suffix("").parts
            found.append(".".join(parts[:-1] if parts[-1] == "__init__" else parts))
    return found


def loaded_by(code: str, home: Path) -> set[str]:
    """Give the modules that a fresh interpreter has loaded after running `code`."""
    ran = run_python(["-c", f"{code}\nimport sys; print('\\n' + ' '.join(sys.modules))"], home)
    assert ran.code == 0, ran.err
    return set(ran.out.splitlines()[-1].split())


def test_no_layer_below_the_screen_loads_the_screen_library(tmp_path: Path) -> None:
    below = modules_under("kb", "engine", "tui/cli", "tui/draw")
    assert {"kb.load", "engine.advice", "tui.cli.check", "tui.draw.terminal"} <= set(below)
    loaded = loaded_by("\n".join(f"import {name}" for name in below), tmp_path)
    assert set(below) <= loaded
    assert not {"textual", "rich"} & loaded


def test_a_plain_check_of_a_sound_file_loads_neither_numbers_nor_graphs(tmp_path: Path) -> None:
    loaded = loaded_by(CHECK, tmp_path)
    assert "kb.load" in loaded
    assert not {"numpy", "networkx", "textual", "rich", "graphviz"} & loaded


def test_a_desk_without_a_named_reed_loads_no_database(tmp_path: Path) -> None:
    loaded = loaded_by("import tui.cli.interview, tui.choosing, tui.app.main", tmp_path)
    assert "tui.desk" in loaded
    assert not {"sqlite3", "tomllib", "numpy"} & loaded


def test_a_check_loads_only_its_own_command(tmp_path: Path) -> None:
    loaded = loaded_by(CHECK, tmp_path)
    assert {name for name in NAMES if f"tui.cli.{name}" in loaded} == {"check"}


def test_the_version_is_told_before_anything_is_imported(tmp_path: Path) -> None:
    code = (
        "import sys; sys.argv = ['canebrake', '--version']\nfrom tui.cli.main import run\nassert run() == 0"
    )
    loaded = loaded_by(code, tmp_path)
    ours = {name for name in loaded if name.split(".")[0] in {"kb", "engine", "tui"}}
    assert ours == {"tui", "tui.cli", "tui.cli.main"}
    assert "argparse" not in loaded


def test_the_version_told_is_the_projects() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    assert project["version"] == VERSION


def imports_of(path: Path) -> set[str]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    found = set()
    for part in ast.walk(tree):
        if isinstance(part, ast.Import):
            found |= {name.name.split(".")[0] for name in part.names}
        elif isinstance(part, ast.ImportFrom) and part.level == 0 and part.module:
            found.add(part.module.split(".")[0])
    return found


@pytest.mark.parametrize(
    "folder, forbidden",
    [("kb", {"engine", "tui"}), ("engine", {"tui", "sqlite3", "subprocess", "time", "random", "secrets"})],
)
def test_imports_point_one_way(folder: str, forbidden: set[str]) -> None:
    for path in (ROOT / folder).rglob("*.py"):
        assert not imports_of(path) & forbidden, path


def test_only_wiring_reads_the_clock_the_environment_and_the_terminal() -> None:
    # The bootstrap starts before anything of ours can be imported; the writer of files makes up
    # names for files that are gone before anyone could see them.
    may = {ROOT / "tui" / "wiring.py", ROOT / "tui" / "__main__.py", ROOT / "kb" / "disk.py"}
    told = (
        "os.environ",
        "os.getenv",
        "datetime.now(",
        "time.time(",
        "get_terminal_size",
        "os.urandom",
        "import random",
    )
    for folder in ("kb", "engine", "tui"):
        for path in (ROOT / folder).rglob("*.py"):
            text = path.read_text(encoding="utf-8")
            assert path in may or not [word for word in told if word in text], path


def test_the_bootstraps_use_the_standard_library_alone() -> None:
    for path in (ROOT / "tui" / "__main__.py", ROOT / "tests" / "__main__.py"):
        assert imports_of(path) - {"tui"} <= sys.stdlib_module_names


def test_every_command_listed_exists_and_says_what_it_does_in_one_line(tmp_path: Path) -> None:
    text = help_text()
    for name in NAMES:
        module, folder = (ROOT / "tui" / "cli" / f"{name}{end}" for end in (".py", "/__init__.py"))
        assert module.exists() != folder.exists()
        assert f"\n  {name}" in text
        ran = run_python(["-m", "tui.cli.main", name, "--help"], tmp_path)
        assert ran.code == 0
        assert ran.out.startswith(f"usage: canebrake {name}")
        assert ran.err == ""


@pytest.mark.parametrize("folder", ["kb", "engine", "tui"])
def test_modules_are_small_and_say_what_they_are(folder: str) -> None:
    for path in (ROOT / folder).rglob("*.py"):
        text = path.read_text(encoding="utf-8")
        # The model is a table of fields and their meanings.
        assert text.count("\n") <= 500 or path.name == "model.py", path
        assert ast.get_docstring(ast.parse(text)), path
