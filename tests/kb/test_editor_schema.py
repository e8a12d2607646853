"""The schema for editors: every field says what it is, and a layer may be one."""

import json
from typing import Any

import jsonschema
import pytest

from kb.schema import schema
from kb.schema.editors import for_editors
from tests.support.mutants import document
from tests.support.running import ROOT

JUDGE = jsonschema.Draft202012Validator(json.loads(for_editors()))


def _fields(part: Any, path: str = "") -> list[tuple[str, Any]]:
    """Give every property that the schema allows somewhere, with the path to it."""
    if isinstance(part, list):
        return [one for number, inner in enumerate(part) for one in _fields(inner, f"{path}/{number}")]
    if not isinstance(part, dict):
        return []
    found = [(f"{path}/{name}", field) for name, field in part.get("properties", {}).items()]
    # Inside if, then and not, a property tells cases apart and is described where it is declared.
    inner = ((key, value) for key, value in part.items() if key not in {"if", "then", "else", "not"})
    return found + [one for key, value in inner for one in _fields(value, f"{path}/{key}")]


def test_every_field_has_a_title_and_a_description() -> None:
    fields = _fields(schema())
    assert len(fields) > 100
    for path, field in fields:
        target = schema()["$defs"][field["$ref"].rsplit("/", 1)[1]] if "$ref" in field else {}
        assert {**target, **field}.get("title"), path
        assert {**target, **field}.get("description", "").endswith("."), path


def test_the_schema_for_editors_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(json.loads(for_editors()))


@pytest.mark.parametrize(
    "path",
    [*sorted((ROOT / "rulesets").glob("*.yaml")), *sorted((ROOT / "tests/golden").glob("*.yaml"))],
    ids=lambda p: p.name,
)
def test_an_editor_accepts_what_the_program_accepts(path: Any) -> None:
    assert JUDGE.is_valid(document(path.read_bytes()))


def test_only_a_layer_may_leave_out_what_its_base_says() -> None:
    whole = document((ROOT / "tests/golden/penny-whistle-voicing.yaml").read_bytes())
    without = {key: value for key, value in whole.items() if key != "causes"}
    assert not JUDGE.is_valid(without)
    layer = {
        **without,
        "extends": {"file": "base.yaml"},
        "causes": {"damp-block": {"how_common": "rare", "why": None}},
    }
    assert JUDGE.is_valid(layer)
    assert not JUDGE.is_valid({**layer, "causes": {"damp-block": {"how_comon": "rare"}}})
    assert not JUDGE.is_valid({key: value for key, value in layer.items() if key != "version"})
    assert not JUDGE.is_valid({**layer, "extends": {"file": "base.yaml", "id": "x"}})
