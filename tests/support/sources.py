"""The tables of sources in `docs/sources.md`: made from the rulesets that ship, and written anew.

Write it anew, after a change that is meant, with `python -m tests.support.sources`.
"""

import re
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Final

from kb.ids import SourceId
from kb.load import load_file
from kb.model import Cause, Finding, Remedy, Ruleset, Source

ROOT: Final = Path(__file__).parents[2]
PAGE: Final = ROOT / "docs" / "sources.md"
RULESETS: Final = ("bassoon", "oboe", "single-reed")
"""Those whose sources the page lists, each in a table, in this order."""
PUBLISHED: Final = "published"
COMMON: Final = "common practice"
MEMORY: Final = "from memory"
_TABLE: Final = re.compile(r"\| id \| source \| read \| stands behind \|\n(?:\|[^\n]*\n)+")


def shipped(name: str) -> Ruleset:
    """Read a ruleset that ships."""
    loaded = load_file(ROOT / "rulesets" / f"{name}.yaml")
    assert loaded.ruleset is not None, loaded.problems
    return loaded.ruleset


def entries_of(ruleset: Ruleset) -> tuple[Finding | Cause | Remedy, ...]:
    """Give everything in a ruleset that has to say where it comes from."""
    return (*ruleset.findings, *ruleset.causes, *ruleset.operations)


def table_of(ruleset: Ruleset) -> str:
    """Give the table of published sources: what each is, how much was read, what stands on it."""
    rows = (_row(ruleset, source) for source in ruleset.sources if source.kind == PUBLISHED)
    return "| id | source | read | stands behind |\n|---|---|---|---|\n" + "".join(rows)


def with_tables(page: str, tables: Iterable[str]) -> str:
    """Put tables in the place of those that a page has, one for one."""
    new = iter(tables)
    written = _TABLE.sub(lambda _: next(new), page)
    assert not list(new), "the page has too few tables"
    return written


def _row(ruleset: Ruleset, source: Source) -> str:
    year = "year not known" if source.year == "not known" else source.year
    about = (source.author, source.title, source.place_in, year)
    told = ". ".join(part.rstrip(".") for part in about if part)
    stands = ", ".join(_resting_on(ruleset, source.id))
    return f"| `{source.id}` | {told} | {source.read} | {stands} |\n"


def _resting_on(ruleset: Ruleset, source: SourceId) -> Iterator[str]:
    for entry in entries_of(ruleset):
        if source in entry.sources:
            yield f"`{entry.id}`"
        if any(one.source == source for one in entry.differs):
            yield f"`{entry.id}` (differs)"


if __name__ == "__main__":
    tables = [table_of(shipped(name)) for name in RULESETS]
    PAGE.write_text(with_tables(PAGE.read_text("utf-8"), tables), encoding="utf-8")
