"""Every `console` block in README and docs is run, and prints what it says.

Write them anew, after a change that is meant, with `python -m tests.support.blocks [PAGE.md …]`.
"""

import re
from pathlib import Path

import pytest

from tests.support.blocks import PAGES, blocks_of, output_of
from tests.support.running import ROOT


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_what_a_page_shows_is_what_the_command_prints(page: Path, tmp_path: Path) -> None:
    for block in blocks_of(page.read_text(encoding="utf-8")):
        assert output_of(block, tmp_path) == block.shown, f"{page.name}: $ {block.command}"


def test_days_pass_where_a_page_says_so_and_stay_where_it_does_not() -> None:
    command = "```console\n$ canebrake reeds\nnone\n```\n"
    page = f"{command}<!-- days later: 2 -->\n{command}<!-- days later: 3 -->\n{command}{command}"
    assert [block.day for block in blocks_of(page)] == [0, 2, 5, 5]


def test_the_readme_shows_commands_that_run() -> None:
    readme = next(page for page in PAGES if page.name == "README.md" and page.parent.name != "docs")
    assert len(blocks_of(readme.read_text(encoding="utf-8"))) >= 3


def test_what_the_evening_page_writes_stands_in_its_ruleset() -> None:
    page = (ROOT / "docs/guides/write-your-own.md").read_text(encoding="utf-8")
    ruleset = (ROOT / "docs/guides/evening/oboe.yaml").read_text(encoding="utf-8")
    shown = re.findall(r"```yaml\n(.*?)```", page, re.DOTALL)
    assert len(shown) >= 6
    assert [part for part in shown if part not in ruleset] == []
