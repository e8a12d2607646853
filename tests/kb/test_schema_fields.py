"""Keys of each kind of entry, as forms ask for them: all of the schema's, and in the right way."""

import pytest

from kb.schema import schema
from kb.schema.fields import Form, fields

ENTRIES = {
    "priorities": "priority",
    "symptoms": "symptom",
    "signs": "sign",
    "causes": "cause",
    "remedies": "remedy",
    "rests": "rest",
    "quantities": "quantity",
    "thickness": "profile",
    "tools": "tool",
    "zones": "zone",
    "sources": "source",
    "charts": "chart",
    "trials": "trial",
}


@pytest.mark.parametrize("section", ENTRIES)
def test_a_form_asks_for_every_key_of_the_schema_and_explains_it(section: str) -> None:
    meant = schema()["$defs"][ENTRIES[section]]
    asked = fields(section)
    assert {one.key for one in asked} == set(meant["properties"])
    assert {one.key for one in asked if one.is_required} == set(meant.get("required", ()))
    assert [one.key for one in asked if not (one.title and one.says)] == []


def test_sections_of_single_values_have_no_form() -> None:
    assert fields("words") == ()
    assert fields("glossary") == ()
    assert fields("nothing-of-that-name") == ()


def test_each_key_is_filled_in_as_its_kind_wants() -> None:
    remedy = {one.key: one for one in fields("remedies")}
    assert remedy["do"].form is Form.TEXT
    assert remedy["minutes"].form is Form.WORD
    assert remedy["zone"].form is Form.WORD
    assert remedy["undo"].choices == ("fully", "partly", "never")
    assert remedy["recheck"].form is Form.LIST
    assert remedy["cures"].form is Form.PAIRS
    assert remedy["differs"].form is Form.WHOLE
    assert {one.key: one.form for one in fields("causes")}["how_common"] is Form.WORD
