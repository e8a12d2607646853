"""Console blocks in pages: found, run, and written anew (of all pages, or of those named).

A block starts with `$ canebrake …` and shows everything that the command then prints, standard
output before standard error; `< FILE` at its end is what is typed. `CANEBRAKE_HOME=NAME` before it
makes it another person's; lines `$ cp A B` (which stand for what somebody edits) and `$ mkdir A` may
come above it. All blocks of a page run in one scratch folder in which the project's pages and
rulesets are found, so that a page may make a file in one block and use it in the next.
It is always the same evening there, until the page says that days have passed: `<!-- days later: 2 -->`.
"""

import re
import shlex
import shutil
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from tests.support.running import ROOT, run_python

_PART: Final = re.compile(
    r"<!-- days later: (?P<days>\d+) -->|"
    r"```console\n(?P<command>(?:\$ (?:cp|mkdir) [^\n]*\n)*\$ (?:CANEBRAKE_HOME=\S+ )?canebrake [^\n]*)\n"
    r"(?P<shown>.*?)```",
    re.DOTALL,
)


@dataclass(frozen=True, slots=True)
class Block:
    """One command on a page."""

    command: str
    """As it stands, with the lines that come above it."""
    shown: str
    """What the page says that it prints."""
    day: int
    """Days after the first evening."""


def blocks_of(text: str) -> list[Block]:
    """Give the commands of a page in order."""
    blocks, day = [], 0
    for found in _PART.finditer(text):
        if found["days"]:
            day += int(found["days"])
        else:
            blocks.append(Block(found["command"], found["shown"], day))
    return blocks


PAGES: Final = tuple(
    page
    for page in (ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "docs").rglob("*.md")))
    if page.is_file() and blocks_of(page.read_text(encoding="utf-8"))
)


def output_of(block: Block, folder: Path) -> str:
    """Run a command in a page's scratch folder and give what it prints."""
    for name in ("docs", "rulesets", "tests"):
        if not (folder / name).exists():
            (folder / name).symlink_to(ROOT / name)
    *before, last = block.command.splitlines()
    for line in before:
        _prepare(shlex.split(line)[1:], folder)
    _, *words = shlex.split(last)
    home = words.pop(0).partition("=")[2] if words[0] != "canebrake" else "home"
    del words[0]
    given = b""
    if "<" in words:
        given = (folder / words[words.index("<") + 1]).read_bytes()
        words = words[: words.index("<")]
    ran = run_python(
        ["-m", "tests.support.at_a_fixed_time", str(block.day), *words],
        folder / home,
        cwd=folder,
        given=given,
        env={"COLUMNS": "80"},
    )
    return ran.out + ran.err


def _prepare(words: list[str], folder: Path) -> None:
    if words[0] == "mkdir":
        (folder / words[1]).mkdir()
    else:
        shutil.copyfile(folder / words[1], folder / words[2])


def rewrite(page: Path) -> None:
    """Write a page's blocks anew."""
    text = page.read_text(encoding="utf-8")
    blocks = iter(blocks_of(text))
    with tempfile.TemporaryDirectory() as folder:

        def anew(found: re.Match[str]) -> str:
            if found["days"]:
                return found[0]
            block = next(blocks)
            return f"```console\n{block.command}\n{output_of(block, Path(folder))}```"

        page.write_text(_PART.sub(anew, text), encoding="utf-8")


if __name__ == "__main__":
    for one in PAGES:
        if one.name in sys.argv[1:] or len(sys.argv) == 1:
            rewrite(one)
