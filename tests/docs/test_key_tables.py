"""The keys on the page of the full screen are the keys of the screens."""

from tests.support.key_tables import PAGE, TABLES, with_tables


def test_the_tables_of_keys_are_fresh() -> None:
    page = PAGE.read_text(encoding="utf-8")
    assert with_tables(page) == page, "write them anew: python -m tests.support.key_tables"
    assert [name for name in TABLES if f"<!-- keys: {name} -->" not in page] == []
