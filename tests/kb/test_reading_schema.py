"""One schema, two libraries and a quick walk: all must judge alike."""

import random
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from kb.schema import Fault, quick, reference, schema
from kb.schema.accept import accepts
from kb.text import NOWHERE
from kb.value import Items, Pair, Pairs, Value
from tests.support.mutants import document, mutant

ROOT = Path(__file__).parents[2]
SOUND = [document((ROOT / "tests/golden/penny-whistle-voicing.yaml").read_bytes())] + [
    document(path.read_bytes()) for path in sorted((ROOT / "rulesets").glob("*.yaml"))
]
SMALL = SOUND[0]
PATCH = document((ROOT / "tests/golden/penny-whistle-studio.yaml").read_bytes())
FULL = {
    **SMALL,
    **{
        key: {**SMALL.get(key, {}), **value} if isinstance(value, dict) else value
        for key, value in PATCH.items()
    },
}


def placed(tree: Any) -> Value:
    if isinstance(tree, dict):
        return Value(Pairs(tuple(Pair(key, NOWHERE, placed(value)) for key, value in tree.items())), NOWHERE)
    if isinstance(tree, list):
        return Value(Items(tuple(placed(item) for item in tree)), NOWHERE)
    return Value(tree, NOWHERE)


def told(faults: tuple[Fault, ...]) -> set[tuple[tuple[str | int, ...], str]]:
    return {(fault.path, fault.keyword) for fault in faults}


QUICK, REFERENCE = quick(), reference()


def compare(seed: int) -> bool:
    """Judge one mutant four ways; give whether it was sound after all."""
    tree = mutant(random.Random(seed), FULL)
    found = QUICK(tree)
    referred = REFERENCE(tree)
    assert told(found) == told(referred), tree
    by_place = {(fault.path, fault.keyword): fault.schema for fault in referred}
    assert all(
        by_place.get((f.path, f.keyword), f.schema) == f.schema for f in found if f.keyword != "required"
    )
    if accepts(placed(tree)):
        assert not found, tree
    return not found


def test_the_schema_follows_its_own_standard() -> None:
    jsonschema.Draft202012Validator.check_schema(schema())


@pytest.mark.parametrize("tree", [*SOUND, FULL], ids=lambda tree: tree["id"])
def test_a_sound_ruleset_passes_all_three(tree: Any) -> None:
    assert accepts(placed(tree))
    assert QUICK(tree) == ()
    assert REFERENCE(tree) == ()


def test_both_libraries_name_the_same_places_and_keywords() -> None:
    sound = [compare(seed) for seed in range(300)]
    assert 20 < sum(sound) < 250


@pytest.mark.long
def test_both_libraries_agree_on_many_more() -> None:
    for seed in range(1000, 10_000):
        compare(seed)


def test_every_object_is_closed_or_maps_free_words() -> None:
    free = {"Words", "Glossary"}

    def walk(part: Any, name: str) -> None:
        if isinstance(part, dict):
            if part.get("type") == "object" and part.get("additionalProperties") is not False:
                assert part.get("title") in free or name == "allow"
                assert isinstance(part["additionalProperties"], dict)
            for key, inner in part.items():
                walk(inner, key)
        elif isinstance(part, list):
            for inner in part:
                walk(inner, name)

    walk(schema(), "")


def test_every_key_has_a_title_and_a_description_for_editors() -> None:
    def walk(part: Any) -> None:
        if isinstance(part, dict):
            properties = part.get("properties", {})
            for key, inner in properties.items():
                if isinstance(inner, dict) and ("title" in part or "$schema" in part):
                    owner = schema()["$defs"][inner["$ref"].split("/")[-1]] if "$ref" in inner else {}
                    assert inner.get("title") or owner.get("title"), key
                    assert inner.get("description") or owner.get("description"), key
            for inner in part.values():
                walk(inner)

    walk(schema())


def test_a_number_is_no_truth_value_for_any_of_them() -> None:
    tree = {**SMALL, "canebrake": True}
    assert told(QUICK(tree)) == told(REFERENCE(tree)) == {(("canebrake",), "const")}
    assert not accepts(placed(tree))
