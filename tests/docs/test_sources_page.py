"""`docs/sources.md` says where every entry of the rulesets that ship comes from, and is fresh.

Write its tables anew, after a change that is meant, with `python -m tests.support.sources`.
"""

import pytest

from kb.model import Cause, Finding, Remedy
from tests.support.sources import COMMON, MEMORY, PAGE, PUBLISHED, RULESETS, entries_of, shipped, table_of

KINDS = {PUBLISHED, COMMON, MEMORY}
ENTRIES = [
    pytest.param(name, entry, id=f"{name}: {entry.id}")
    for name in RULESETS
    for entry in entries_of(shipped(name))
]


@pytest.mark.parametrize("name", RULESETS)
def test_the_table_is_the_one_that_the_ruleset_makes(name: str) -> None:
    assert table_of(shipped(name)) in PAGE.read_text("utf-8")


@pytest.mark.parametrize("name,entry", ENTRIES)
def test_every_entry_traces_to_a_source_of_a_known_kind(name: str, entry: Finding | Cause | Remedy) -> None:
    kinds = {shipped(name).source[source].kind for source in entry.sources}
    assert kinds
    assert kinds <= KINDS


@pytest.mark.parametrize("name", RULESETS)
def test_what_rests_on_memory_alone_is_named_on_the_page(name: str) -> None:
    ruleset = shipped(name)
    page = PAGE.read_text("utf-8")
    alone = [
        entry.id
        for entry in entries_of(ruleset)
        if {ruleset.source[source].kind for source in entry.sources} == {MEMORY}
    ]
    assert not [id_ for id_ in alone if f"`{id_}`" not in page]


@pytest.mark.parametrize("name", RULESETS)
def test_no_source_is_listed_that_nothing_rests_on(name: str) -> None:
    idle = [row for row in table_of(shipped(name)).splitlines() if row.endswith("|  |")]
    assert not idle
