"""Rulesets with something wrong in them: one sound document, changed in one to three places."""

import copy
import json
import random
from typing import Any

from kb.letters import decode
from kb.source import read
from kb.value import Items, Pairs, Value

ODD: tuple[Any, ...] = (
    *(None, True, False, 0, 1, -1, 2.5, 10**17, 1e300, "", "x", "no such thing", "yes", "target", "always"),
    *("rest", "ready", "own", "tip", [], {}, [1, 2], ["own", "own"], [[0, 0], [1, 1]], {"x": "usually"}),
    *(
        {"file": "nowhere.yaml"},
        {"ask": "windway-high", "do": "clip"},
        {"quantity": "windway-height"},
        "a\nb",
        "a\n",
    ),
)
KEYS = (
    "x",
    "Bad Key",
    "title",
    "ask",
    "do",
    "stop",
    "shows",
    "cures",
    "given",
    "a" * 70,
    "a\n",
    "rest",
    "allow",
)


def plain(value: Value) -> Any:
    """Give a document as plain Python values."""
    if isinstance(value.data, Pairs):
        return {pair.key: plain(pair.value) for pair in value.data}
    if isinstance(value.data, Items):
        return [plain(item) for item in value.data.items]
    return value.data


def document(content: bytes) -> Any:
    """Read a sound YAML document."""
    source, _ = decode("sound", content)
    assert source is not None
    tree = read(source).tree
    assert tree is not None
    return plain(tree)


def places(tree: Any) -> list[tuple[Any, Any]]:
    """List every (container, key) of a document."""
    found = []
    pairs = tree.items() if isinstance(tree, dict) else enumerate(tree) if isinstance(tree, list) else ()
    for key, value in pairs:
        found.append((tree, key))
        found += places(value)
    return found


def mutant(rng: random.Random, sound: Any) -> Any:
    """Change a copy of `sound` in one to three places."""
    tree = copy.deepcopy(sound)
    for _ in range(rng.choice((1, 1, 2, 3))):
        container, key = rng.choice(places(tree))
        match rng.randrange(5):
            case 0:
                container[key] = copy.deepcopy(rng.choice(ODD))
            case 1:
                del container[key]
            case 2:
                other, at = rng.choice(places(tree))
                container[key] = copy.deepcopy(other[at])
            case 3 if isinstance(container, dict):
                container[rng.choice(KEYS)] = container.pop(key)
            case _ if isinstance(container, dict):
                container[rng.choice(KEYS)] = copy.deepcopy(rng.choice(ODD))
            case _:
                container.append(copy.deepcopy(rng.choice(container)))
    return tree


def as_yaml(tree: Any) -> bytes:
    """Write a document as JSON, which YAML 1.2 reads as well."""
    return json.dumps(tree, indent=1, ensure_ascii=False).encode()
