"""Console blocks in pages: found, run, and written anew.

A block starts with `$ canebrake …` and shows everything that the command then prints, standard
output before standard error; `< FILE` at its end is what is typed. All blocks of a page run in one
scratch folder in which the project's pages and rulesets are found, so that a page may make a file
in one block and use it in the next. It is always the same evening there.
"""

import re
import shlex
import tempfile
from pathlib import Path
from typing import Final

from tests.support.running import ROOT, run_python

PAGES: Final = tuple(
    page
    for page in (ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "docs").rglob("*.md")))
    if page.is_file() and "```console\n$ canebrake" in page.read_text(encoding="utf-8")
)
_BLOCK: Final = re.compile(r"```console\n\$ canebrake ([^\n]*)\n(.*?)```", re.DOTALL)


def blocks_of(text: str) -> list[tuple[str, str]]:
    """Give the commands (without their first word) and what the page says that they print."""
    return [(found[1], found[2]) for found in _BLOCK.finditer(text)]


def output_of(command: str, folder: Path) -> str:
    """Run a command in a page's scratch folder and give what it prints."""
    for name in ("docs", "rulesets", "tests"):
        if not (folder / name).exists():
            (folder / name).symlink_to(ROOT / name)
    words = shlex.split(command)
    given = b""
    if "<" in words:
        given = (folder / words[words.index("<") + 1]).read_bytes()
        words = words[: words.index("<")]
    ran = run_python(
        ["-m", "tests.support.at_a_fixed_time", *words],
        folder / "home",
        cwd=folder,
        given=given,
        env={"COLUMNS": "80"},
    )
    return ran.out + ran.err


def rewrite(page: Path) -> None:
    """Write a page's blocks anew."""
    with tempfile.TemporaryDirectory() as folder:

        def anew(found: re.Match[str]) -> str:
            return f"```console\n$ canebrake {found[1]}\n{output_of(found[1], Path(folder))}```"

        page.write_text(_BLOCK.sub(anew, page.read_text(encoding="utf-8")), encoding="utf-8")


if __name__ == "__main__":
    for one in PAGES:
        rewrite(one)
