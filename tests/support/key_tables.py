"""The tables of keys in docs/guides/full-screen.md, made from the bindings themselves.

Write them anew with `python -m tests.support.key_tables`.
"""

from collections.abc import Sequence
from typing import Final

from textual.binding import Binding

from tests.support.running import ROOT
from tui.app import keys

PAGE: Final = ROOT / "docs/guides/full-screen.md"
TABLES: Final[dict[str, Sequence[Binding]]] = {
    "box": keys.BOX,
    "sitting": keys.SITTING,
    "thickness": keys.THICKNESS,
    "map": keys.MAP_WALK,
    "rules": keys.RULES,
    "form": keys.FORM,
    "practice": keys.PRACTICE,
    "anywhere": keys.ANYWHERE,
}


def table(bindings: Sequence[Binding]) -> str:
    """Give the keys of one screen as a table."""
    rows = [f"| `{keys.shown(one)}` | {one.description} | {one.tooltip} |" for one in bindings]
    return "\n".join(["| key | | |", "|---|---|---|", *rows])


def with_tables(page: str) -> str:
    """Give the page with every table written anew."""
    for name, bindings in TABLES.items():
        begin, end = f"<!-- keys: {name} -->\n", "<!-- end -->"
        before, found, after = page.partition(begin)
        if found:
            page = f"{before}{begin}{table(bindings)}\n{end}{after.partition(end)[2]}"
    return page


if __name__ == "__main__":
    PAGE.write_text(with_tables(PAGE.read_text(encoding="utf-8")), encoding="utf-8")
