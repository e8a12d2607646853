"""`docs/sources.md` says where every entry of the bassoon ruleset comes from, and is fresh.

Write its table anew, after a change that is meant, with `python -m tests.support.sources`.
"""

import pytest

from kb.model import Cause, Finding, Remedy
from tests.support.sources import COMMON, MEMORY, PAGE, PUBLISHED, bassoon, entries_of, table_of

KINDS = {PUBLISHED, COMMON, MEMORY}


def test_the_table_is_the_one_that_the_ruleset_makes() -> None:
    assert table_of(bassoon()) in PAGE.read_text("utf-8")


@pytest.mark.parametrize("entry", entries_of(bassoon()), ids=lambda entry: entry.id)
def test_every_entry_traces_to_a_source_of_a_known_kind(entry: Finding | Cause | Remedy) -> None:
    ruleset = bassoon()
    kinds = {ruleset.source[source].kind for source in entry.sources}
    assert kinds
    assert kinds <= KINDS


def test_what_rests_on_memory_alone_is_named_on_the_page() -> None:
    ruleset = bassoon()
    page = PAGE.read_text("utf-8")
    alone = [
        entry.id
        for entry in entries_of(ruleset)
        if {ruleset.source[source].kind for source in entry.sources} == {MEMORY}
    ]
    assert not [id_ for id_ in alone if f"`{id_}`" not in page]


def test_no_source_is_listed_that_nothing_rests_on() -> None:
    idle = [row for row in table_of(bassoon()).splitlines() if row.endswith("|  |")]
    assert not idle
