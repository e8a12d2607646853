"""The page of all keys is what the schema says."""

from kb.schema import schema
from tests.support.fields import PAGE, page


def test_the_page_of_all_keys_is_fresh() -> None:
    assert PAGE.read_text(encoding="utf-8") == page(), "write it anew: python -m tests.support.fields"


def test_no_kind_of_entry_is_missing_from_the_page() -> None:
    written = page()
    for name, part in schema()["$defs"].items():
        for key in part.get("properties", ()):
            assert f"`{key}`" in written, f"{key} of {name}"
