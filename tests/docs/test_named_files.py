"""What the pages for contributors name is there."""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
FOLDERS = ("kb", "engine", "tui", "tests", "rulesets", "docs")
NAMED = re.compile(r"`([\w./-]+)`")
PLACEHOLDERS = {"docs/checks/NAME.md", "tests/kb/logs/version-N.db"}


def paths_named_in(text: str) -> list[str]:
    r"""Give what stands in backticks and is a path from the root, or a module beside the last one named.

    >>> paths_named_in("`kb/load.py`, `a.b`, `ids.py` and `engine/coverage`")
    ['kb/load.py', 'kb/ids.py', 'engine/coverage']
    """
    found, folder = [], ""
    for name in NAMED.findall(text):
        if "/" in name and name.split("/")[0] in FOLDERS:
            found.append(name)
            folder = name.rpartition("/")[0]
        elif re.fullmatch(r"\w+\.py", name):
            found.append(f"{folder}/{name}")
    return found


@pytest.mark.parametrize("page", ["DEVELOPERS.md", "README.md", "docs/method.md"])
def test_every_file_that_a_page_names_is_there(page: str) -> None:
    named = paths_named_in((ROOT / page).read_text("utf-8"))
    assert [name for name in named if name not in PLACEHOLDERS and not (ROOT / name).exists()] == []


def test_there_is_something_to_look_at() -> None:
    assert len(paths_named_in((ROOT / "DEVELOPERS.md").read_text("utf-8"))) > 50


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
