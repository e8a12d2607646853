"""Console blocks in pages: found, run, and written anew.

A block starts with `$ canebrake …` and shows everything that the command then prints, standard
output before standard error; `< FILE` at its end is what is typed. `CANEBRAKE_HOME=NAME` before it
makes it another person's; lines `$ cp A B` (which stand for what somebody edits) and `$ mkdir A` may
come above it. All blocks of a page run in one scratch folder in which the project's pages and
rulesets are found, so that a page may make a file in one block and use it in the next.
It is always the same evening there.
"""

import re
import shlex
import shutil
import tempfile
from pathlib import Path
from typing import Final

from tests.support.running import ROOT, run_python

_BLOCK: Final = re.compile(
    r"```console\n((?:\$ (?:cp|mkdir) [^\n]*\n)*\$ (?:CANEBRAKE_HOME=\S+ )?canebrake [^\n]*)\n(.*?)```",
    re.DOTALL,
)
PAGES: Final = tuple(
    page
    for page in (ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "docs").rglob("*.md")))
    if page.is_file() and _BLOCK.search(page.read_text(encoding="utf-8"))
)


def blocks_of(text: str) -> list[tuple[str, str]]:
    """Give the commands as they stand and what the page says that they print."""
    return [(found[1], found[2]) for found in _BLOCK.finditer(text)]


def output_of(command: str, folder: Path) -> str:
    """Run a command in a page's scratch folder and give what it prints."""
    for name in ("docs", "rulesets", "tests"):
        if not (folder / name).exists():
            (folder / name).symlink_to(ROOT / name)
    *before, last = command.splitlines()
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
        ["-m", "tests.support.at_a_fixed_time", *words],
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
    with tempfile.TemporaryDirectory() as folder:

        def anew(found: re.Match[str]) -> str:
            return f"```console\n{found[1]}\n{output_of(found[1], Path(folder))}```"

        page.write_text(_BLOCK.sub(anew, page.read_text(encoding="utf-8")), encoding="utf-8")


if __name__ == "__main__":
    for one in PAGES:
        rewrite(one)
