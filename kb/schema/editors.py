"""The schema as editors want it: the same rules for a whole ruleset, and fitting ones for a layer.

Separate because the program itself judges a layer only when it lies over its base; an editor sees
the layer alone. So what a document with `extends` may hold is told apart: no key is demanded there
that the base may bring, and null may stand for what is taken out.
"""

import json
from typing import Any, Final

from kb.schema import schema

_ALWAYS: Final = ("canebrake", "id", "title", "version")
"""Keys that a layer writes itself."""
_DEMANDS: Final = frozenset({"required", "minProperties"})
_IN_LAYERS: Final = "layer_"


def for_editors() -> str:
    """Give the schema for editors, as JSON."""
    whole: Any = json.loads(json.dumps(schema()))
    definitions = whole.pop("$defs")
    head = {key: whole.pop(key) for key in ("$schema", "$id", "title", "description")}
    layers = {_IN_LAYERS + name: _relaxed(part) for name, part in definitions.items()}
    layer = _relaxed(whole) | {"required": list(_ALWAYS)}
    said = {
        **head,
        "type": "object",
        "required": list(_ALWAYS),
        "if": {"required": ["extends"]},
        "then": layer,
        "else": whole,
        "$defs": {**definitions, **layers},
    }
    return json.dumps(said, indent=1, ensure_ascii=False) + "\n"


def _relaxed(part: Any) -> Any:  # noqa: ANN401 - a schema is any JSON
    """Give a part of the schema as it holds for a layer."""
    if isinstance(part, list):
        return [_relaxed(one) for one in part]
    if not isinstance(part, dict):
        return part
    # What comes after `if` and `not` tells cases apart and demands nothing.
    made = {
        key: value if key in {"if", "not"} else _relaxed(value)
        for key, value in part.items()
        if key not in _DEMANDS
    }
    if isinstance(made.get("$ref"), str):
        made["$ref"] = made["$ref"].replace("#/$defs/", f"#/$defs/{_IN_LAYERS}")
    if isinstance(made.get("type"), str | list):
        kinds = [made["type"]] if isinstance(made["type"], str) else made["type"]
        made["type"] = list(dict.fromkeys((*kinds, "null")))
    if isinstance(made.get("enum"), list):
        made["enum"] = list(dict.fromkeys((*made["enum"], None)))
    return made
