"""Console blocks in pages: found, run, and written anew.

A block starts with `$ canebrake …` and shows everything that the command then prints, standard
output before standard error.
"""

import re
import shlex
import tempfile
from pathlib import Path
from typing import Final

from tests.support.running import ROOT, run_canebrake

PAGES: Final = tuple(
    page
    for page in (ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "docs").rglob("*.md")))
    if page.is_file() and "```console\n$ canebrake" in page.read_text(encoding="utf-8")
)
_BLOCK: Final = re.compile(r"```console\n\$ canebrake ([^\n]*)\n(.*?)```", re.DOTALL)


def blocks_of(text: str) -> list[tuple[str, str]]:
    """Give the commands (without their first word) and what the page says that they print."""
    return [(found[1], found[2]) for found in _BLOCK.finditer(text)]


def output_of(command: str, home: Path) -> str:
    """Run a command from the project's root and give what it prints."""
    ran = run_canebrake(shlex.split(command), home, env={"COLUMNS": "80"})
    return ran.out + ran.err


def rewrite(page: Path) -> None:
    """Write a page's blocks anew."""

    def anew(found: re.Match[str]) -> str:
        with tempfile.TemporaryDirectory() as home:
            return f"```console\n$ canebrake {found[1]}\n{output_of(found[1], Path(home))}```"

    page.write_text(_BLOCK.sub(anew, page.read_text(encoding="utf-8")), encoding="utf-8")


if __name__ == "__main__":
    for one in PAGES:
        rewrite(one)
