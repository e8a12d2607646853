"""What the pages for contributors name is there."""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
FOLDERS = ("kb", "engine", "tui", "tests", "rulesets", "docs")
NAMED = re.compile(r"`([\w./-]+)`")
PLACEHOLDERS = {"docs/checks/NAME.md", "tests/kb/logs/version-N.db"}


def missing_from(text: str) -> list[str]:
    """Give what stands in backticks like a path from the root, and is not there.

    A bare name of a module (`ids.py`) is in one of the folders that its paragraph names before it.
    """
    missing = []
    for paragraph in text.split("\n\n"):
        folders = set()
        for name in NAMED.findall(paragraph):
            if "/" in name and name.split("/")[0] in FOLDERS:
                path = ROOT / name
                folders |= {path, path.parent}
                if name not in PLACEHOLDERS and not path.exists():
                    missing.append(name)
            elif re.fullmatch(r"\w+\.py", name) and not any((folder / name).exists() for folder in folders):
                missing.append(name)
    return missing


@pytest.mark.parametrize("page", ["DEVELOPERS.md", "README.md", "docs/method.md"])
def test_every_file_that_a_page_names_is_there(page: str) -> None:
    assert missing_from((ROOT / page).read_text("utf-8")) == []


@pytest.mark.parametrize("page", ["DEVELOPERS.md", "README.md", "docs/method.md"])
def test_every_module_that_a_page_runs_is_there(page: str) -> None:
    for module in re.findall(r"python3? -m ((?:tests|tui)[\w.]*)", (ROOT / page).read_text("utf-8")):
        path = ROOT / module.replace(".", "/")
        assert path.with_suffix(".py").exists() or (path / "__main__.py").exists(), module


def test_a_file_that_is_gone_is_missed() -> None:
    said = "`kb/load.py`, `ids.py`, `kb/gone.py`, `gone.py`, `a.b`\n\n`ids.py` of `engine/coverage`"
    assert missing_from(said) == ["kb/gone.py", "gone.py", "ids.py"]


def test_decisions_are_numbered_without_gaps_and_say_when_to_reopen_them() -> None:
    pages = sorted((ROOT / "docs" / "decisions").glob("[0-9]*.md"))
    index = (ROOT / "docs" / "decisions" / "README.md").read_text("utf-8")
    listed = re.findall(r"^\| \[(\d{4})\]\(([\w-]+\.md)\) \| (.+) \|$", index, re.MULTILINE)
    assert [int(page.name[:4]) for page in pages] == list(range(1, len(pages) + 1))
    assert [name for _, name, _ in listed] == [page.name for page in pages]
    for page, (number, _, title) in zip(pages, listed, strict=True):
        text = page.read_text("utf-8")
        assert text.startswith(f"# {number}: {title}\n"), page.name
        for part in ("**Context.**", "**Decision.**", "**Refused.**", "**Reopen**"):
            assert f"\n\n{part} " in text, (page.name, part)
